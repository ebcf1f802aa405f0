"""How much room the disk of the data has left, and whether a fault came of its having none."""

from __future__ import annotations

import errno
import shutil
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError

FULL = frozenset({errno.ENOSPC, errno.EDQUOT})
# As SQLite (“database or disk is full”) and PostgreSQL (SQLSTATE 53100, strerror) say it.
WORDS = ("disk is full", "disk full", "no space left on device")


def free_bytes() -> int:
    """What is left for everyone but root, on the disk of photos and papers."""
    folder = Path(settings.MEDIA_ROOT)
    while not folder.exists() and folder != folder.parent:
        folder = folder.parent
    return shutil.disk_usage(folder).free


def space_left_short() -> int | None:
    """The megabytes left, when they are fewer than the house wants; else None."""
    free = free_bytes()
    return free // 1024**2 if free < settings.SPACE_LOW_BYTES else None


def is_of_full_disk(fault: BaseException | None) -> bool:
    """Whether a full disk stands anywhere among the causes of the fault."""
    return any(_says_full(one) for one in causes(fault))


def causes(fault: BaseException | None) -> Iterator[BaseException]:
    """The fault, and what stands behind it."""
    seen: set[int] = set()
    while fault is not None and id(fault) not in seen:
        seen.add(id(fault))
        yield fault
        fault = fault.__cause__ or fault.__context__


def _says_full(fault: BaseException) -> bool:
    if isinstance(fault, OSError):
        return fault.errno in FULL
    return isinstance(fault, DatabaseError) and any(word in str(fault).lower() for word in WORDS)
