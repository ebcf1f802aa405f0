"""A program that is kept running beside the tests and answers one line after another.

Its answer ends with a line ``END`` and the number of the request. Whatever else happens - it
ends, is slow, or answers another request - raises RuntimeError, and it is never asked again.
"""

from __future__ import annotations

import os
import select
import subprocess
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

TAIL_BYTES = 4000


class Warm:
    """One process, asked by the one process that started it."""

    def __init__(self, command: Sequence[str]) -> None:
        self.command = list(command)
        self.name = Path(command[0]).name
        self.owner = os.getpid()
        self.asked = 0
        # A pipe that nobody reads would fill up and stop the program.
        self.complaints = tempfile.TemporaryFile()  # noqa: SIM115 - closed by end()
        try:
            self.process = subprocess.Popen(
                self.command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=self.complaints,
                bufsize=0,
            )
        except OSError as trouble:
            self.complaints.close()
            raise RuntimeError(f"{self.name} does not start: {trouble}") from trouble

    def serves(self, command: Sequence[str]) -> bool:
        """Whether it still runs, for this very process, and as it would be started now."""
        mine = self.owner == os.getpid()
        return mine and self.command == list(command) and self.process.poll() is None

    def ask(self, request: str, *, timeout: float) -> list[str]:
        """Return the lines that answer the request, which is one line."""
        self.asked += 1
        number = str(self.asked)
        try:
            self._send(f"{number}\t{request}\n".encode())
            lines = self._answer(time.monotonic() + timeout, timeout)
            if lines[-1] != f"END\t{number}":
                raise RuntimeError(f"{self.name} answered another request: {lines[-1]}")
        except BaseException:  # also an interrupted test: the next must not read this answer
            self.end()
            raise
        return lines[:-1]

    def _send(self, line: bytes) -> None:
        assert self.process.stdin is not None
        try:
            while line:
                line = line[self.process.stdin.write(line) :]
        except BrokenPipeError as gone:
            raise self._ended() from gone

    def _answer(self, until: float, timeout: float) -> list[str]:
        assert self.process.stdout is not None
        place = self.process.stdout.fileno()
        ear = select.poll()
        ear.register(place, select.POLLIN)
        heard = b""
        while not _is_whole(heard):
            if not ear.poll(max(0.0, until - time.monotonic()) * 1000):
                raise RuntimeError(f"{self.name} took more than {timeout} s.")
            more = os.read(place, 65536)
            if not more:
                raise self._ended()
            heard += more
        return heard.decode().removesuffix("\n").split("\n")

    def _ended(self) -> RuntimeError:
        """Say how it ended, and what it said last; it may still be about to end."""
        try:
            code = str(self.process.wait(5))
        except subprocess.TimeoutExpired:
            code = "none yet"
        # Read without moving: the program writes on from the place that both share.
        size = os.fstat(self.complaints.fileno()).st_size
        said = os.pread(self.complaints.fileno(), TAIL_BYTES, max(0, size - TAIL_BYTES))
        return RuntimeError(
            f"{self.name} ended without an answer, with exit code {code}.\n"
            + said.decode(errors="replace")
        )

    def end(self) -> None:
        """End the process; in a fork only let go of it, for it belongs to another."""
        if self.owner == os.getpid():
            self.process.kill()
            self.process.wait()
        else:
            self.process.poll()  # learns that it is no child of this process, and asks no more
        for stream in (self.process.stdin, self.process.stdout, self.complaints):
            if stream is not None:
                stream.close()


def _is_whole(heard: bytes) -> bool:
    return heard.endswith(b"\n") and heard[:-1].rpartition(b"\n")[2].startswith(b"END\t")
