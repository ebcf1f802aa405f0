"""Hands photos to the darkroom process and minds it: a time limit, and a new one after a crash."""

from __future__ import annotations

import json
import os
import selectors
import subprocess
import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import Any

from django.conf import settings

# A large photo takes seconds; what takes a minute was made to take for ever.
TIME_LIMIT_S = 60.0
TOO_SLOW, CRASHED = "too_slow", "crashed"
# A process of its own: picture libraries are C, and a file that crashes them must not take the
# casebook down.
COMMAND = [sys.executable, "-m", "repairs.photos.darkroom"]


class Darkroom:
    """One child process that lives as long as photos keep coming. Not shared between threads."""

    def __init__(self, time_limit_s: float = TIME_LIMIT_S) -> None:
        self.time_limit_s = time_limit_s
        self._child: subprocess.Popen[str] | None = None
        self._lock = threading.Lock()

    def develop(self, source: Path, folder: Path) -> dict[str, Any]:
        """Return the facts of the photo, or ``{"refused": code, "details": {…}}``.

        ``{"trouble": key}`` when the darkroom could not tell: it died, took too long, or had no
        room. Nothing is known of the photo then, and it may well be a good one.
        """
        request = {
            "source": str(source),
            "folder": str(folder),
            "most_pixels": settings.PHOTO_MAX_PIXELS,
        }
        with self._lock:
            child = self._running()
            try:
                line = self._ask(child, json.dumps(request))
            except (BrokenPipeError, TimeoutError) as fault:
                self.close()
                return {"trouble": TOO_SLOW if isinstance(fault, TimeoutError) else CRASHED}
        answer: dict[str, Any] = json.loads(line)
        return answer

    def _running(self) -> subprocess.Popen[str]:
        if self._child is None or self._child.poll() is not None:
            self.close()
            environment = {**os.environ, "PYTHONPATH": str(settings.BASE_DIR)}
            self._child = subprocess.Popen(  # noqa: S603 - our own module, fixed words
                COMMAND,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
                cwd=settings.BASE_DIR,
                env=environment,
                start_new_session=True,  # Ctrl-C at the server must not look like a bad photo
            )
        return self._child

    def _ask(self, child: subprocess.Popen[str], request: str) -> str:
        if child.stdin is None or child.stdout is None:
            raise BrokenPipeError
        child.stdin.write(request + "\n")
        child.stdin.flush()
        with selectors.DefaultSelector() as waiting:
            waiting.register(child.stdout, selectors.EVENT_READ)
            if not waiting.select(self.time_limit_s):
                raise TimeoutError
        line = child.stdout.readline()
        if not line:
            raise BrokenPipeError
        return line

    def close(self) -> None:
        """End the process; the next photo starts another."""
        if self._child is None:
            return
        self._child.kill()
        self._child.wait()
        for stream in (self._child.stdin, self._child.stdout):
            if stream is not None:
                with suppress(BrokenPipeError):  # a request may still be in the buffer
                    stream.close()
        self._child = None


_darkroom = Darkroom()


def darkroom() -> Darkroom:
    """The darkroom of this process; it starts with the first photo."""
    return _darkroom
