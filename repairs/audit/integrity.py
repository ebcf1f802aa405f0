"""Whether the database itself is whole: what it can tell of its pages, keys and rules."""

from __future__ import annotations

from collections.abc import Iterator

from django.db import connection

MOST = 20
# Keys and rules that were switched off to write past them, and indexes that do not hold.
POSTGRES = (
    (
        "SELECT conrelid::regclass || ': rule ' || conname || ' was never checked' "
        "FROM pg_constraint WHERE NOT convalidated "
        "AND connamespace = current_schema()::regnamespace"
    ),
    (
        "SELECT DISTINCT tgrelid::regclass || ': its keys are switched off' FROM pg_trigger t "
        "JOIN pg_class c ON c.oid = t.tgrelid WHERE tgenabled = 'D' "
        "AND c.relnamespace = current_schema()::regnamespace"
    ),
    (
        "SELECT indexrelid::regclass || ': this index is not valid' FROM pg_index i "
        "JOIN pg_class c ON c.oid = i.indexrelid WHERE NOT indisvalid "
        "AND c.relnamespace = current_schema()::regnamespace"
    ),
)


def database_faults() -> Iterator[str]:
    """What the database finds wrong with itself, in its own words."""
    yield from _sqlite() if connection.vendor == "sqlite" else _postgres()


def _sqlite() -> Iterator[str]:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA integrity_check({MOST})")
        yield from (str(row[0]) for row in cursor.fetchall() if row[0] != "ok")
        cursor.execute("PRAGMA foreign_key_check")
        for table, row, target, _number in cursor.fetchmany(MOST):
            yield f"{table}, row {row}: the row of {target} that it names is not there"


def _postgres() -> Iterator[str]:
    with connection.cursor() as cursor:
        for question in POSTGRES:
            cursor.execute(question)
            yield from (str(row[0]) for row in cursor.fetchmany(MOST))
