"""A disk that is full at the n-th thing that is done to it, and from then on until it is freed."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any
from unittest.mock import patch

# What takes room: bytes, names, folders; and what tells that it was not there, late.
TAKES_ROOM = (
    (os, "fsync"),
    (Path, "mkdir"),
    (Path, "touch"),
    (Path, "replace"),
    (Path, "rename"),
    (Path, "hardlink_to"),
    (Path, "write_bytes"),
    (Path, "write_text"),
    (shutil, "copyfile"),
)
WRITES = set("wax+")


class FullDisk:
    """Counts what is done, and refuses from the n-th on."""

    def __init__(self, at: int) -> None:
        self.at, self.done, self.was_full = at, 0, False

    def step(self) -> None:
        """One more thing that takes room. Raises OSError once there is none."""
        self.done += 1
        if self.done >= self.at:
            self.was_full = True
            raise OSError(errno.ENOSPC, "No space left on device")

    def watched(self, real: Callable[..., Any]) -> Callable[..., Any]:
        """The same deed, counted."""

        def deed(*args: Any, **kwargs: Any) -> Any:
            """It, unless the disk is full."""
            self.step()
            return real(*args, **kwargs)

        return deed

    def opened(self, real: Callable[..., Any]) -> Callable[..., Any]:
        """Files opened to be written to are watched, too; the locks of flock hold no bytes."""

        def opening(path: Path, mode: str = "r", *args: Any, **kwargs: Any) -> Any:
            """The file."""
            handle = real(path, mode, *args, **kwargs)
            return _Half(handle, self.step) if WRITES & set(mode) else handle

        return opening


class _Half:
    """A file of which half a write lands before the disk is full, as in truth."""

    def __init__(self, handle: Any, step: Callable[[], None]) -> None:
        self._handle, self._step, self._is_begun = handle, step, False

    def write(self, data: Any) -> int:
        if isinstance(data, str) and self._is_begun:  # text comes in crumbs: the first one counts
            return int(self._handle.write(data))
        self._is_begun = True
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


@contextmanager
def full_at(step: int) -> Iterator[FullDisk]:
    """From the n-th deed on the disk is full, until the end of the block."""
    disk = FullDisk(step)
    with ExitStack() as stack:
        for place, name in TAKES_ROOM:
            stack.enter_context(patch.object(place, name, disk.watched(getattr(place, name))))
        stack.enter_context(patch.object(Path, "open", disk.opened(Path.open)))
        yield disk
