"""Processes beside the test, on the test's own database: for what only two at once can break.

A test starts one with ``beside("tests.jobs.chores:serve", …)``; here, as a program of its own,
this module sets Django up and calls that function.
"""

from __future__ import annotations

import importlib
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import django

from workshop.prepare import prepare

ROOT = Path(__file__).resolve().parents[1]
PATIENCE_S = 300  # of a machine that is busy with something else; nothing waits so long in vain


@contextmanager
def shared_database(folder: Path) -> Iterator[str]:
    """Yield the address of the test's database, where other processes find it.

    SQLite's test database lies in memory, out of their reach: a copy on disk takes its place
    until the end of the block, for the test as well. Wants a test outside a transaction.
    """
    from django.db import connection, connections  # noqa: PLC0415 - after django.setup()

    known = connection.settings_dict
    if connection.vendor == "postgresql":
        person, place = f"{known['USER']}:{known['PASSWORD']}", f"{known['HOST']}:{known['PORT']}"
        yield f"postgres://{person}@{place}/{known['NAME']}"
        return
    file = folder / "shared.sqlite3"
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(file)])
    in_memory = connections["default"]
    patient = {**known["OPTIONS"], "timeout": PATIENCE_S}
    on_disk = type(in_memory)({**known, "NAME": str(file), "OPTIONS": patient}, "default")
    connections["default"] = on_disk
    # The copy turns to WAL now: two that turn it at once do not wait for each other, one of them
    # is told that the database is locked, however long its patience.
    on_disk.ensure_connection()
    try:
        yield f"sqlite:///{file}"
    finally:
        on_disk.close()
        connections["default"] = in_memory


class Beside:
    """One process, which says lines and waits for a word before it goes on."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.process = process

    def hear(self) -> str:
        """Wait for the next line that it says."""
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        assert line, f"the process ended with {self.process.wait(PATIENCE_S)}"
        return line.strip()

    def go(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write("go\n")
        self.process.stdin.flush()

    def end(self) -> str:
        """Wait until it ends well; return the rest of what it said."""
        said, _nothing = self.process.communicate(timeout=PATIENCE_S)
        assert self.process.returncode == 0
        return said.strip()

    def kill(self) -> None:
        """As the kernel does when memory runs out: at once, with no chance to tidy up."""
        self.process.kill()
        self.process.wait(PATIENCE_S)


@contextmanager
def beside(function: str, *words: str, database: str, folder: Path) -> Iterator[Beside]:
    """Start ``module:function`` with the words in a process of its own."""
    environment = {**os.environ, "DATABASE_URL": database, "SAUTEREAU_DATA": str(folder)}
    command = [sys.executable, "-m", "tests.beside", function, *words]
    with subprocess.Popen(
        command,
        cwd=ROOT,
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        try:
            yield Beside(process)
        finally:
            process.kill()


def ready() -> None:
    """Say in the process that it is ready, and wait until the test lets it go."""
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()


def _be_patient() -> None:
    """SQLite serves who asks next, not who asked first: one of many may wait for long."""
    from django.db import connection  # noqa: PLC0415 - after django.setup()

    if connection.vendor == "sqlite":
        connection.settings_dict["OPTIONS"]["timeout"] = PATIENCE_S


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
    prepare()
    django.setup()
    _be_patient()
    module, _colon, name = sys.argv[1].partition(":")
    getattr(importlib.import_module(module), name)(*sys.argv[2:])


if __name__ == "__main__":
    main()
