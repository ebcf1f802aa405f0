"""Whether the database itself is whole: what it can tell of its pages, keys and rules."""

from __future__ import annotations

from collections.abc import Iterator

from django.db import connection
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.audit.told import told

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


def database_faults() -> Iterator[str | Promise]:
    """What the database finds wrong with itself, in its own words."""
    yield from _sqlite() if connection.vendor == "sqlite" else _postgres()


def _sqlite() -> Iterator[str | Promise]:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA integrity_check({MOST})")
        yield from (str(row[0]) for row in cursor.fetchall() if row[0] != "ok")
        cursor.execute("PRAGMA foreign_key_check")
        for table, row, target, _number in cursor.fetchmany(MOST):
            what = _("%(table)s, row %(row)s: the row of %(target)s that it names is not there")
            yield told(what, table=table, row=row, target=target)


def _postgres() -> Iterator[str]:
    with connection.cursor() as cursor:
        for question in POSTGRES:
            cursor.execute(question)
            yield from (str(row[0]) for row in cursor.fetchmany(MOST))
