"""A restore that is killed at one of its steps: run as a process of its own by the tests.

    python -m tests.keep.backups.stopped BUNDLE DATA STEP [TABLES]

With a number as STEP it dies at that many changes of the file system (0: never, and prints how many
there were); with a name, when that function is called. TABLES is a file of SQLite whose tables
stand for those that migrating makes, which takes eight seconds.
"""

from __future__ import annotations

import os
import signal
import sqlite3
import sys
from pathlib import Path

import django

CHANGES = ("os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.chmod", "os.utime")
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT


class Counter:
    """Counts what changes the disk, and dies at one of them."""

    def __init__(self, data: str, at: int) -> None:
        self.data, self.at, self.n = data, at, 0

    def __call__(self, event: str, args: tuple[object, ...]) -> None:
        wants = event in CHANGES or (event == "open" and int(args[2] or 0) & WRITING)  # type: ignore[call-overload]
        if wants and str(args[0]).startswith(self.data):
            self.n += 1
            if self.n == self.at:
                os.kill(os.getpid(), signal.SIGKILL)


def die(*_words: object, **_more: object) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def main(bundle: str, data: str, step: str, tables: str = "") -> None:
    django.setup()
    from django.db import connection, connections  # noqa: PLC0415 - after the set-up

    from repairs.keep import restoring, target  # noqa: PLC0415
    from repairs.keep.bundle import open_bundle  # noqa: PLC0415
    from repairs.keep.tables import MARK  # noqa: PLC0415

    def build(alias: str, _made: object) -> None:
        with sqlite3.connect(tables) as raw:
            asked = (
                "SELECT sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite%'"
            )
            statements = [sql for (sql,) in raw.execute(asked)]
        with connections[alias].cursor() as cursor:
            for sql in (f"CREATE TABLE {MARK} (since varchar(40))", *statements):
                cursor.execute(sql)

    setattr(restoring, "PROOFS", ())  # noqa: B010 - proofs are processes of their own
    if tables:
        setattr(restoring, "build_tables", build)  # noqa: B010 - likewise
    if not step.isdigit():
        module = target if hasattr(target, step) else restoring
        setattr(module, step, die)
    counter = Counter(data, int(step) if step.isdigit() else 0)
    sys.addaudithook(counter)
    is_postgres = connection.vendor == "postgresql"
    restoring.restore(open_bundle(Path(bundle)), target.Target(Path(data), is_postgres))
    sys.stdout.write(str(counter.n))


if __name__ == "__main__":
    main(*sys.argv[1:])
