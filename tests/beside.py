"""Processes beside the test, on the test's own database: for what only two at once can break.

A test starts one with ``beside("tests.jobs.chores:serve", …)``. Setting Django up takes more than
a second, so that it is done once, in a server of processes that every later one is forked from.
"""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from threading import Timer
from typing import TextIO

ROOT = Path(__file__).resolve().parents[1]
PATIENCE_S = 300  # of a machine that is busy with something else; nothing waits so long in vain
NURSERY = get_context("forkserver")
NURSERY.set_forkserver_preload(["tests.nursery"])


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

    def __init__(self, process: BaseProcess, words: TextIO, lines: TextIO) -> None:
        self.process, self.words, self.lines = process, words, lines

    def hear(self) -> str:
        """Wait for the next line that it says."""
        line = self.lines.readline()
        assert line, f"the process ended with {self.wait()}"
        return line.strip()

    def go(self) -> None:
        self.words.write("go\n")
        self.words.flush()

    def end(self) -> str:
        """Wait until it ends well; return the rest of what it said."""
        said = self.lines.read()
        assert self.wait() == 0
        return said.strip()

    def wait(self) -> int:
        """Wait until it has ended, in whatever way; return its exit code."""
        self.process.join(PATIENCE_S)
        assert self.process.exitcode is not None, "the process does not end"
        return self.process.exitcode

    def kill(self) -> None:
        """As the kernel does when memory runs out: at once, with no chance to tidy up."""
        self.process.kill()
        self.wait()


@contextmanager
def beside(function: str, *words: str, database: str, folder: Path) -> Iterator[Beside]:
    """Start ``module:function`` with the words in a process of its own."""
    (its_input, our_words), (our_lines, its_output) = NURSERY.Pipe(False), NURSERY.Pipe(False)
    said = {
        "DATABASE_URL": database,
        "SAUTEREAU_DATA": str(folder),
        "SAUTEREAU_SEAL_KEY": str(folder / "no-such-key.pem"),  # nor is one made for it
    }
    process = NURSERY.Process(target=_play, args=(function, words, said, its_input, its_output))
    process.start()
    its_input.close()
    its_output.close()
    timer = Timer(PATIENCE_S, process.kill)
    timer.start()
    try:
        with our_words, our_lines, _opened(our_words, "w") as out, _opened(our_lines, "r") as lines:
            yield Beside(process, out, lines)
    finally:
        timer.cancel()
        process.kill()
        process.join(PATIENCE_S)
        process.close()


def _opened(end: Connection, mode: str) -> TextIO:
    """The end of a pipe as a file of text, which its owner closes."""
    return open(end.fileno(), mode, encoding="utf-8", closefd=False)  # type: ignore[return-value]


def _play(
    function: str, words: tuple[str, ...], said: dict[str, str], told: Connection, says: Connection
) -> None:
    """In the process: with the settings of its own environment, its words through the pipes."""
    os.dup2(told.fileno(), 0)
    os.dup2(says.fileno(), 1)
    told.close()
    says.close()
    with open(0, encoding="utf-8") as sys.stdin, open(1, "w", encoding="utf-8") as sys.stdout:
        os.environ.update(said)
        nursery = importlib.import_module("tests.nursery")
        nursery.move_in()
        module, _colon, name = function.partition(":")
        getattr(importlib.import_module(module), name)(*words)


def ready() -> None:
    """Say in the process that it is ready, and wait until the test lets it go."""
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()
