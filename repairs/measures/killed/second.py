"""A second, empty house beside the one of the measure: what a backup is restored into."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from django.conf import settings
from django.db import connection

from repairs.keep.tables import MARK
from repairs.measures.harness import HOUSE

NAME, PROOFS = "killed_restore", ("verify_log", "verify_store")


@dataclass(frozen=True)
class Second:
    """Its data folder, and the address of its database."""

    folder: Path
    address: str

    @property
    def environment(self) -> dict[str, str]:
        """Of a process that is of this house."""
        own = {**os.environ, "SAUTEREAU_DATA": str(self.folder)}
        return {**own, "DATABASE_URL": self.address}

    def start(self, entry: Path) -> subprocess.Popen[bytes]:
        """Begin to restore, in a group of processes that can be killed as one."""
        return self.command("restore", str(entry), new=True)

    def faults(self) -> Iterator[str]:
        """What its own proofs say of it."""
        for proof in PROOFS:
            running = self.command(proof)
            _out, complaint = running.communicate()
            if running.returncode:
                yield f"{proof}: {complaint.decode().strip()[-200:]}"

    def has_house(self) -> bool:
        """Whether it holds people."""
        if connection.vendor == "postgresql":
            return self._has_rows()
        file = self.folder / "casebook.sqlite3"
        if not file.exists():
            return False
        with closing(sqlite3.connect(file)) as raw:
            tables = {name for (name,) in raw.execute("SELECT name FROM sqlite_master")}
            return "repairs_user" in tables and bool(
                raw.execute("SELECT count(*) FROM repairs_user").fetchone()[0]
            )

    def _has_rows(self) -> bool:
        """On PostgreSQL, where the mark goes last, once the files are there too."""
        import psycopg2  # noqa: PLC0415 - of one of the two databases

        with closing(psycopg2.connect(self.address)) as line, line.cursor() as cursor:
            cursor.execute("SELECT to_regclass('repairs_user'), to_regclass(%s)", [MARK])
            people, mark = cursor.fetchone()
            if people is None or mark is not None:  # the next restore clears what is marked
                return False
            cursor.execute("SELECT count(*) FROM repairs_user")
            return bool(cursor.fetchone() != (0,))

    def empty(self) -> None:
        """Take all of it away."""
        shutil.rmtree(self.folder, ignore_errors=True)
        if connection.vendor == "postgresql":
            _drop()
            _create()

    def command(self, *words: str, new: bool = False) -> subprocess.Popen[bytes]:
        """Begin a command of this house."""
        return subprocess.Popen(  # noqa: S603 - our own command
            [sys.executable, str(HOUSE / "manage.py"), *words],
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            start_new_session=new,
        )


@contextmanager
def second_house() -> Iterator[Second]:
    """One that is gone afterwards."""
    data = Path(settings.DATA_DIR)
    folder = data.with_name(f"{data.name}-second")
    house = Second(folder, f"sqlite:///{folder / 'casebook.sqlite3'}")
    if connection.vendor == "postgresql":
        house = Second(folder, urlsplit(os.environ["DATABASE_URL"])._replace(path=NAME).geturl())
        _drop()
        _create()
    try:
        yield house
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        if connection.vendor == "postgresql":
            _drop()


def _drop() -> None:
    with connection.cursor() as cursor:
        cursor.execute(f'DROP DATABASE IF EXISTS "{NAME}" WITH (FORCE)')


def _create() -> None:
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{NAME}"')
