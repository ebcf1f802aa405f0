"""Which files of the store a backup holds, and which of them its rows name."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

# Made and thrown away again within a job.
PASSING = ("workplace/", "locks/")
BY_CONTENT = re.compile(r"(?:.*/)?([0-9a-f]{64})(?:\.\w+)?$")
FANNED = re.compile(r"([\w-]+)/([0-9a-f]{2})/([0-9a-f]{2})/(\2\3[^/]+)$")


@dataclass(frozen=True, slots=True)
class Stored:
    """A file of the store as it lies there now."""

    name: str
    path: str
    size: int
    mtime_ns: int


def stored_files(root: Path) -> list[Stored]:
    """The files that a backup may hold, by name.

    Derivatives are among them: they could be made anew, but not to the byte.
    """
    return sorted(_walk(str(root), ""), key=lambda one: one.name)


def _walk(place: str, inner: str) -> Iterator[Stored]:
    if not os.path.isdir(place):  # noqa: PTH112 - of half a million files, the cheap way
        return
    for entry in os.scandir(place):
        name = f"{inner}{entry.name}"
        if entry.is_symlink():
            continue
        if entry.is_dir():
            if f"{name}/" not in PASSING:
                yield from _walk(entry.path, f"{name}/")
            continue
        if name.endswith(".part"):
            continue
        try:
            stat = entry.stat()
        except FileNotFoundError:  # swept meanwhile
            continue
        yield Stored(name, entry.path, stat.st_size, stat.st_mtime_ns)


def promised_digest(name: str) -> str:
    """The SHA-256 that the file's name promises; empty for one that is not named by its bytes."""
    found = BY_CONTENT.match(name)
    return found[1] if found else ""


def place_of(name: str) -> str:
    """Where the file lies in an open bundle: in one folder a sort, as a person looks for it."""
    found = FANNED.match(name)
    return f"data/files/{found[1]}/{found[4]}" if found else f"data/files/{name}"


def missing(named: Iterable[str], there: set[str]) -> list[str]:
    """The files that rows name and that are not there."""
    return sorted(set(named) - there)
