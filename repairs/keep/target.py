"""Where a bundle is restored to: an empty house, or a scratch one for a drill."""

from __future__ import annotations

import fcntl
import os
import shutil
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import connection

from repairs.audit.marks import NAME as MARKS
from repairs.audit.marks import MarksUnreadableError, understood
from repairs.keep.loading import take_mark_away
from repairs.keep.refusals import HouseNotEmptyError, RestoreBusyError
from repairs.keep.tables import BY_SQLITE, LEFT_OUT, MARK, kept_tables
from repairs.storage import files as store

WORK, READY = "restoring", "ready"
MARKS_LOCK = "high-water.lock"
FILE, STORE = "casebook.sqlite3", "media"
KEY_FILES = ("secret-key", "seal-key.pem")
# What every command makes before anything is there; nothing of a house lies in it.
MADE_ANYWAY = frozenset(
    {*KEY_FILES, "static", "static.lock", "bundled", "locks", WORK, STORE, "keep", MARKS_LOCK}
)
# Rows of these are made by migrating; none of them is of a house.
NO_HOUSE = frozenset({"django_migrations", "django_content_type", "auth_permission", *LEFT_OUT})


@dataclass(frozen=True)
class Target:
    """A data folder, and a database: the file in it, or the PostgreSQL that is set up."""

    data: Path
    is_postgres: bool = False
    is_house: bool = True

    def check_empty(self) -> None:
        """Raise HouseNotEmptyError when anything of a house is there; clear what a stopped
        restore left."""
        self._clear_stopped()
        if self.data.exists():
            self._check_folder()
        if self.is_postgres:
            self._check_postgres()
        elif (self.data / FILE).exists():
            _check_file(self.data / FILE)

    def _check_folder(self) -> None:
        for one in sorted(self.data.iterdir()):
            name = one.name.removesuffix("-wal").removesuffix("-shm")
            if name in MADE_ANYWAY or (name == FILE and not self.is_postgres):
                continue
            if name != MARKS or _has_marks(one):
                raise HouseNotEmptyError(what=one.name)
        store = self.data / STORE
        if store.exists() and (found := next((p for p in store.rglob("*") if p.is_file()), None)):
            raise HouseNotEmptyError(what=f"{STORE}/{found.relative_to(store).as_posix()}")

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Let one restore work there; the system opens the lock of a process that was killed.

        Raises RestoreBusyError.
        """
        self.data.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(self.data, os.O_RDONLY | os.O_DIRECTORY)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            yield
        except BlockingIOError as fault:
            raise RestoreBusyError(place=str(self.data)) from fault
        finally:
            os.close(handle)

    def is_stopped(self) -> bool:
        """Whether a restore began here and did not come to its end."""
        if self.is_postgres:
            return MARK in connection.introspection.table_names()
        return (self.data / WORK).exists() and not self._has_rows()

    def _clear_stopped(self) -> None:
        work = self.data / WORK
        if (work / READY).exists() and not self._has_rows():
            # They came out of that restore.
            shutil.rmtree(self.data / STORE, ignore_errors=True)
            (self.data / MARKS).unlink(missing_ok=True)
        if self.is_postgres and MARK in connection.introspection.table_names():
            drop_all()
        self.clear(work)

    def _has_rows(self) -> bool:
        if self.is_postgres:
            return MARK not in connection.introspection.table_names()
        path = self.data / FILE
        return path.exists() and bool(_rows_in(path))

    def _check_postgres(self) -> None:
        names = set(connection.introspection.table_names())
        ours = {table.name for table in kept_tables()} | set(LEFT_OUT)
        if foreign := sorted(names - ours):
            raise HouseNotEmptyError(what=foreign[0])
        with connection.cursor() as cursor:
            for name in sorted(names - NO_HOUSE):
                cursor.execute(f'SELECT 1 FROM "{name}" LIMIT 1')  # noqa: S608 - of our tables
                if cursor.fetchone():
                    raise HouseNotEmptyError(what=name)
        drop_all()  # tables without a row: they are built anew, as the bundle's stood

    def begin(self) -> Path:
        """The folder in which the house is built."""
        work = self.data / WORK
        work.mkdir(mode=0o700, parents=True)
        return work

    def database(self, work: Path) -> dict[str, Any]:
        """How the database that is built differs from the present settings."""
        if self.is_postgres:
            return {}
        return {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": str(work / FILE),
            "OPTIONS": {"timeout": 20},
        }

    def environment(self, work: Path) -> dict[str, str]:
        """The environment of a process whose house is the one that was built."""
        own = {**os.environ, "SAUTEREAU_DATA": str(work)}
        if not self.is_postgres:
            own["DATABASE_URL"] = f"sqlite:///{work / FILE}"
        return own

    def finish(self, work: Path, keys: Iterable[str]) -> None:
        """Put in place what was built; last the database file, or what is left out of a database
        while a restore is under way: then the house is there, and not before."""
        (work / READY).touch()
        os.sync()
        for name in (*keys, MARKS, STORE):
            _move(work / name, self.data / name)
        store.sync(self.data)
        if self.is_postgres:
            take_mark_away("default")
        else:
            for end in ("-wal", "-shm"):  # of the empty file that stood here
                (self.data / f"{FILE}{end}").unlink(missing_ok=True)
            (work / FILE).chmod(0o600)
            (work / FILE).replace(self.data / FILE)
            store.sync(self.data)

    def clear(self, work: Path) -> None:
        """Take the workplace away; what is left of it when that is cut short harms nobody."""
        shutil.rmtree(work, ignore_errors=True)

    def undo(self) -> None:
        """Leave nothing of what was built, unless the house stood already."""
        self._clear_stopped()


def _move(source: Path, target: Path) -> None:
    if not source.exists():
        return
    if target.is_dir():
        shutil.rmtree(target)  # it was found empty
    source.replace(target)


def _has_marks(path: Path) -> bool:
    """Whether anything was ever marked there; a server marks its start in an empty house too."""
    try:
        known = understood(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, MarksUnreadableError):
        return True
    return bool(known.line.seq or known.numbers or known.files)


def _check_file(path: Path) -> None:
    if name := _rows_in(path):
        raise HouseNotEmptyError(what=name)


def _rows_in(path: Path) -> str:
    """A table that has rows of a house; empty when none has."""
    try:
        with closing(sqlite3.connect(path, timeout=20)) as raw:
            asked = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
            names = {name for (name,) in raw.execute(asked)} - BY_SQLITE - NO_HOUSE - {MARK}
            for name in sorted(names):
                if raw.execute(f'SELECT 1 FROM "{name}" LIMIT 1').fetchone():  # noqa: S608
                    return str(name)
    except sqlite3.DatabaseError:
        return path.name  # whatever it is, it is not nothing
    return ""


def drop_all() -> None:
    """Drop every table; called only where none holds a row of a house, or the mark stands."""
    with connection.cursor() as cursor:
        for name in connection.introspection.table_names(cursor):
            cursor.execute(f'DROP TABLE IF EXISTS "{name}" CASCADE')
