"""A disk that is full at the n-th thing that is done to it, and from then on until it is freed."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

NO_ROOM = OSError(errno.ENOSPC, "No space left on device")
# What takes room: bytes, names, folders; and what tells that it was not there, late.
TAKES_ROOM = (
    (os, "fsync"),
    (Path, "mkdir"),
    (Path, "touch"),
    (Path, "replace"),
    (Path, "hardlink_to"),
    (Path, "write_bytes"),
    (shutil, "copyfile"),
)


class FullDisk:
    """Counts what is done, and refuses from the n-th on."""

    def __init__(self, patch: pytest.MonkeyPatch, at: int) -> None:
        self.at, self.done, self.was_full = at, 0, False
        for place, name in TAKES_ROOM:
            patch.setattr(place, name, self._watched(getattr(place, name)))
        patch.setattr(Path, "open", self._opened(Path.open))

    def _step(self) -> None:
        self.done += 1
        if self.done >= self.at:
            self.was_full = True
            raise NO_ROOM

    def _watched(self, real: Callable[..., Any]) -> Callable[..., Any]:
        def watched(*args: Any, **kwargs: Any) -> Any:
            self._step()
            return real(*args, **kwargs)

        return watched

    def _opened(self, real: Callable[..., Any]) -> Callable[..., Any]:
        def opened(path: Path, mode: str = "r", *args: Any, **kwargs: Any) -> Any:
            handle = real(path, mode, *args, **kwargs)
            if "a" not in mode or "b" not in mode:
                return handle
            return _Half(handle, self._step)

        return opened


class _Half:
    """A file of which half a write lands before the disk is full, as in truth."""

    def __init__(self, handle: Any, step: Callable[[], None]) -> None:
        self._handle, self._step = handle, step

    def write(self, data: bytes) -> int:
        try:
            self._step()
        except OSError:
            self._handle.write(data[: len(data) // 2])
            self._handle.flush()
            raise
        return int(self._handle.write(data))

    def __enter__(self) -> _Half:
        return self

    def __exit__(self, *_args: object) -> None:
        self._handle.close()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._handle, name)
