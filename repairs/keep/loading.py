"""The rows of a bundle into an empty database."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import Any

from django.db import connections, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from repairs.keep.tables import MARK, Table
from repairs.keep.values import inward

AT_ONCE = 500

Migration = tuple[str, str]


def unknown_migrations(made: Iterable[Migration]) -> list[str]:
    """Those of a bundle that this release does not have."""
    loader = MigrationLoader(None)
    known = set(loader.disk_migrations)
    return [f"{app}.{name}" for app, name in made if (app, name) not in known]


def build_tables(alias: str, made: Iterable[Migration]) -> None:
    """Bring an empty database to where the bundle's stood."""
    connection = connections[alias]
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TABLE IF NOT EXISTS {MARK} (since varchar(40))")
    executor = MigrationExecutor(connection)
    known = set(executor.loader.graph.nodes)
    executor.migrate([one for one in made if one in known])


def load(
    alias: str,
    rows: Iterable[tuple[Table, Iterator[str]]],
    numbers: Mapping[str, int],
) -> None:
    """Put all rows in, in one transaction; raises what a row breaks."""
    connection = connections[alias]
    # SQLite switches its checks off outside a transaction only; they are all made at its end.
    with connection.constraint_checks_disabled(), transaction.atomic(using=alias):
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM django_migrations")
            for name in ("auth_permission", "django_content_type"):
                cursor.execute(f"DELETE FROM {name}")  # noqa: S608 - two names of our own
        keys = {}
        for table, lines in rows:
            _fill(connection, table, lines)
            keys[table.name] = table.key
        _continue_numbers(connection, numbers, keys)
        connection.check_constraints()


def take_mark_away(alias: str) -> None:
    """Say that nothing is under way in that database any more: a house may be served from it."""
    with connections[alias].cursor() as cursor:
        cursor.execute(f"DROP TABLE IF EXISTS {MARK}")


def _fill(connection: Any, table: Table, lines: Iterator[str]) -> None:
    converts = [(column.name, inward(column, connection.vendor)) for column in table.columns]
    names = ", ".join(f'"{name}"' for name, _convert in converts)
    with connection.cursor() as cursor:
        while some := [_values(text, converts) for text in islice(lines, AT_ONCE)]:
            if connection.vendor == "postgresql":
                # A driver that only houses on PostgreSQL need; one statement a page of rows.
                from psycopg2.extras import execute_values  # noqa: PLC0415 - see above

                into = f'INSERT INTO "{table.name}" ({names}) VALUES %s'  # noqa: S608
                execute_values(cursor.cursor, into, some, page_size=AT_ONCE)
                continue
            marks = ", ".join(["%s"] * len(converts))
            into = f'INSERT INTO "{table.name}" ({names}) VALUES ({marks})'  # noqa: S608
            cursor.executemany(into, some)


def _values(text: str, converts: list[tuple[str, Any]]) -> list[Any]:
    said = json.loads(text)
    return [
        said[name] if said[name] is None or convert is None else convert(said[name])
        for name, convert in converts
    ]


def _continue_numbers(connection: Any, numbers: Mapping[str, int], keys: Mapping[str, str]) -> None:
    """Go on after the last number given, so that no row ever gets one that was used."""
    with connection.cursor() as cursor:
        for name, last in numbers.items():
            if connection.vendor == "sqlite":
                # No constraint lets it be replaced: SQLite's own table has none.
                cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [name])
                into = "INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)"
                cursor.execute(into, [name, last])
                continue
            cursor.execute(
                "SELECT setval(pg_get_serial_sequence(%s, %s), %s, %s)",
                [f'"{name}"', keys[name], max(last, 1), last > 0],
            )
