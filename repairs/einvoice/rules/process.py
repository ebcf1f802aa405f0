"""The other end of ``rules_worker``: one warm process for each process of the server.

Requests stand in a queue of one. Whatever goes wrong (it dies, says nothing in time, or says what
makes no sense) ends in RulesNotRunError and a new process for the next request; never in an
answer that could be taken for “no finding”.
"""

from __future__ import annotations

import atexit
import json
import os
import select
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import IO, Any

from django.utils.translation import gettext as _

from repairs.einvoice.refusals import RulesNotRunError

WORKER = Path(__file__).with_name("worker.py")
LIMIT_S = 30.0  # a request takes 0.1 s, the first of a process 1 s, more on a busy machine
# Saxon keeps what it compiled and never gives memory back; a process that has grown past this is
# let go after its answer.
MOST_MB = 700
CHUNK = 65536

Answer = dict[str, Any]


class RulesProcess:
    """Starts its process when it is first asked, and again whenever there is none."""

    def __init__(self, worker: Path = WORKER) -> None:
        self.worker = worker
        self._child: subprocess.Popen[bytes] | None = None
        self._owner: int | None = None
        self._lock = threading.Lock()

    def ask(self, request: Answer, *, limit_s: float = LIMIT_S) -> Answer:
        """The answer to one request. Raises RulesNotRunError when there is none in time."""
        deadline = time.monotonic() + limit_s
        if not self._lock.acquire(timeout=limit_s):
            raise RulesNotRunError(why=_("too many invoices are being checked at once"))
        try:
            answer = self._exchange(request, deadline)
        # Also when the request is given up from outside: an answer that comes later would be read
        # as that of the next invoice.
        except BaseException:
            self._end()
            raise
        finally:
            self._lock.release()
        if "fault" in answer:
            raise RulesNotRunError(why=answer["fault"])
        return answer

    def stop(self) -> None:
        """End the process, if there is one; the next question starts another."""
        with self._lock:
            self._end()

    @property
    def pid(self) -> int | None:
        """The number of the process that runs now; None when there is none."""
        return self._child.pid if self._child else None

    def _exchange(self, request: Answer, deadline: float) -> Answer:
        child = self._running()
        try:
            _write(child, json.dumps(request).encode() + b"\n", deadline)
            answer = json.loads(_read_line(child, deadline))
        except (OSError, ValueError) as fault:
            raise RulesNotRunError(why=_("the checking process ended or spoke nonsense")) from fault
        if not isinstance(answer, dict):
            raise RulesNotRunError(why=_("the checking process ended or spoke nonsense"))
        if answer.pop("peak_mb", 0) > MOST_MB:
            self._end()
        return answer

    def _running(self) -> subprocess.Popen[bytes]:
        if self._owner != os.getpid():  # a copy made by fork must not use its parent's process
            self._child, self._owner = None, os.getpid()
        if self._child is None or self._child.poll() is not None:
            self._end()
            self._child = subprocess.Popen(  # noqa: S603 - our own file
                # -I: nothing of the environment or of the working folder may change what the rules
                # run on.
                [sys.executable, "-I", str(self.worker)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                bufsize=0,
            )
            # A worker that hangs does not read either: a write of megabytes would block for ever.
            os.set_blocking(self._pipe(self._child.stdin), False)
        return self._child

    def _end(self) -> None:
        child, self._child = self._child, None
        if child is None or self._owner != os.getpid():
            return
        child.kill()
        child.wait()
        for pipe in (child.stdin, child.stdout):
            if pipe:
                pipe.close()

    @staticmethod
    def _pipe(pipe: IO[bytes] | None) -> int:
        if pipe is None:
            raise OSError("the worker has no pipe")
        return pipe.fileno()


def _write(child: subprocess.Popen[bytes], data: bytes, deadline: float) -> None:
    pipe = RulesProcess._pipe(child.stdin)
    rest = memoryview(data)
    while rest:
        _wait(deadline, writing=pipe)
        rest = rest[os.write(pipe, rest[:CHUNK]) :]


def _read_line(child: subprocess.Popen[bytes], deadline: float) -> bytes:
    pipe = RulesProcess._pipe(child.stdout)
    line = b""
    while not line.endswith(b"\n"):
        _wait(deadline, reading=pipe)
        chunk = os.read(pipe, CHUNK)
        if not chunk:
            raise OSError("the worker ended")
        line += chunk
    return line


def _wait(deadline: float, *, reading: int | None = None, writing: int | None = None) -> None:
    left = max(0.0, deadline - time.monotonic())
    readers = [] if reading is None else [reading]
    writers = [] if writing is None else [writing]
    if not any(select.select(readers, writers, [], left)):
        raise RulesNotRunError(why=_("the checking process did not answer in time"))


PROCESS = RulesProcess()
atexit.register(PROCESS.stop)
