"""What a walk through the store sees: which files are known, which lie there, which are true."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from repairs.keep.store_models import FileCheck
from repairs.storage import files as store
from repairs.storage.shelves import Kept, Shelf, shelves

Found = FileCheck.Found
DAY = dt.timedelta(days=1)


@dataclass(frozen=True)
class Known:
    """A file that a row names, and the shelf on which it should lie."""

    shelf: Shelf
    kept: Kept


def known_files() -> dict[str, Known]:
    """Every file that a row names, by its name; previews pass, and are not missed."""
    return {
        kept.name: Known(shelf, kept)
        for shelf in shelves()
        if not shelf.is_passing
        for kept in shelf.kept()
    }


def lying() -> Iterator[tuple[Shelf, str, Path]]:
    """Every file that lies on a shelf, whole ones only, with its stored name."""
    root = store.root()
    for shelf in shelves():
        for path in sorted((root / shelf.folder).rglob("*")):
            if path.is_file() and path.suffix != ".part":
                yield shelf, path.relative_to(root).as_posix(), path


def is_old(path: Path, now: dt.datetime) -> bool:
    """Whether it has not been touched for a day: what is younger may be in the making."""
    try:
        return path.stat().st_mtime < (now - DAY).timestamp()
    except FileNotFoundError:
        return False


def judged(kept: Kept) -> tuple[str, int]:
    """What is found of a file, by reading it whole; and how many bytes that were."""
    try:
        path = store.path_of(kept.name)
        size = path.stat().st_size
        digest = store.sha256_of(path)
    except (FileNotFoundError, IsADirectoryError, ValueError):  # also a name that leads outside
        return Found.MISSING, 0
    except OSError:  # a sector that cannot be read any more
        return Found.CHANGED, 0
    return ("" if digest == kept.sha256 else Found.CHANGED), size


def longest_unchecked(known: Mapping[str, Known], share_pct: int) -> list[str]:
    """The names to be read this time: all that was found odd, then those that waited longest."""
    rows = FileCheck.objects.values_list("name", "checked_at", "found")
    odd, when = set(), {}
    for name, at, found in rows.iterator():
        when[name] = at.timestamp()
        if found:
            odd.add(name)
    names = sorted(known, key=lambda name: (name not in odd, when.get(name, 0.0), name))
    most = -(-len(names) * share_pct // 100)
    return names[: max(most, len(odd & known.keys()))]


def orphans(known: Iterable[str], now: dt.datetime) -> list[str]:
    """Files that lie there for a day and more and that no row names."""
    names = set(known)
    return [
        name
        for shelf, name, path in lying()
        if not shelf.is_passing and name not in names and is_old(path, now)
    ]
