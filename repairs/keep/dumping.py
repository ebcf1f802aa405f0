"""The rows of every table, from one moment, while people work."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from typing import Any

from django.db import connection, connections
from django.db.backends.base.base import BaseDatabaseWrapper

from repairs.keep.refusals import NotMigratedError
from repairs.keep.tables import BY_SQLITE, LEFT_OUT, MARK, Table
from repairs.keep.values import line, outward

AT_ONCE = 2000
READ_ALIAS = "keep_read"


@dataclass(frozen=True)
class Source:
    """A database at rest: what is read here is of one moment."""

    raw: Any
    vendor: str

    def rows(self, question: str) -> Iterator[tuple[Any, ...]]:
        """The rows of a question, some thousands at a time."""
        # PostgreSQL would send all rows at once to a cursor without a name.
        named = {"name": "keep"} if self.vendor == "postgresql" else {}
        cursor = self.raw.cursor(**named)
        try:
            cursor.execute(question)
            while some := cursor.fetchmany(AT_ONCE):
                yield from some
        finally:
            cursor.close()

    def lines(self, table: Table) -> Iterator[str]:
        """A table's rows as JSON lines, by its key."""
        converts = [outward(column) for column in table.columns]
        names = ", ".join(f'"{column.name}"' for column in table.columns)
        order = f'"{table.key}"'
        for row in self.rows(f'SELECT {names} FROM "{table.name}" ORDER BY {order}'):  # noqa: S608
            yield line(table, row, converts)

    def tables(self) -> set[str]:
        """What tables there are."""
        asked = {
            "sqlite": "SELECT name FROM sqlite_master WHERE type = 'table'",
            "postgresql": "SELECT tablename FROM pg_tables WHERE schemaname = current_schema()",
        }
        return {str(name) for (name,) in self.rows(asked[self.vendor])} - BY_SQLITE

    def numbers(self, tables: Iterable[Table]) -> dict[str, int]:
        """The last number that each table gave to a row, also where that row is gone since."""
        if self.vendor == "sqlite":
            if not list(self.rows("SELECT 1 FROM sqlite_master WHERE name = 'sqlite_sequence'")):
                return {}
            found = dict(self.rows("SELECT name, seq FROM sqlite_sequence"))
            return {table.name: int(found.get(table.name, 0)) for table in _numbered(tables, found)}
        series = {table.name: self._sequence(table) for table in tables}
        return {
            name: int(self._one(_last(sequence)) or 0)
            for name, sequence in series.items()
            if sequence
        }

    def _sequence(self, table: Table) -> str:
        asked = f"SELECT pg_get_serial_sequence('\"{table.name}\"', '{table.key}')"
        return str(self._one(asked) or "")

    def _one(self, question: str) -> Any:
        [row] = self.rows(question)
        return row[0]


def _numbered(tables: Iterable[Table], found: dict[str, int]) -> list[Table]:
    return [table for table in tables if table.name in found]


def _last(sequence: str) -> str:
    return f"SELECT CASE WHEN is_called THEN last_value ELSE 0 END FROM {sequence}"  # noqa: S608


@contextmanager
def at_rest(alias: str = "default") -> Iterator[Source]:
    """The database as it stands at one moment; nobody who works waits for it.

    SQLite in WAL mode gives every reader the pages of its first read; PostgreSQL does the same for
    a transaction that is REPEATABLE READ.
    """
    wrapper = connections[alias]
    if wrapper.vendor == "sqlite":
        with closing(_sqlite(wrapper)) as raw:
            yield Source(raw, "sqlite")
        return
    reader = wrapper.copy(READ_ALIAS)
    try:
        reader.set_autocommit(False)
        with reader.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        yield Source(reader.connection, "postgresql")
    finally:
        reader.close()


def _sqlite(wrapper: BaseDatabaseWrapper) -> sqlite3.Connection:
    name = str(wrapper.settings_dict["NAME"])
    if "mode=memory" in name or ":memory:" in name:  # of a test: it has no second reader
        wrapper.ensure_connection()
        raw = sqlite3.connect(":memory:")
        raw.deserialize(wrapper.connection.serialize())
        return raw
    return read_sqlite(name)


def read_sqlite(name: str) -> sqlite3.Connection:
    """Open the file to read it as it stands now."""
    raw = sqlite3.connect(name, timeout=20, isolation_level=None)
    raw.execute("PRAGMA query_only = ON")
    raw.execute("BEGIN")
    raw.execute("SELECT count(*) FROM sqlite_master").fetchone()  # from here on it stands still
    return raw


def check_tables(source: Source, tables: Iterable[Table]) -> None:
    """Raise NotMigratedError when the database has not the tables that would be kept.

    A table that nobody describes would be missing from the backup; nobody would know.
    """
    there, wanted = source.tables(), {table.name for table in tables}
    if missing := sorted(wanted - there):
        raise NotMigratedError(what=", ".join(missing[:3]))
    if unknown := sorted(there - wanted - set(LEFT_OUT) - {MARK}):
        raise NotMigratedError(what=", ".join(unknown[:3]))


def vendor() -> str:
    """Which database the house keeps its rows in."""
    return connection.vendor
