"""What lies in the store, told by the rooms whose rows name it: the store itself knows no row.

A shelf is one folder of the store. Whoever checks, sweeps or copies the files of the house walks
the shelves, and needs to know no room.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from django.db import models
from django.utils.functional import Promise


@dataclass(frozen=True)
class Kept:
    """A file as its row knows it; the hash is empty where nobody has written it down yet."""

    name: str
    sha256: str
    is_used: bool = True


@dataclass(frozen=True)
class Place:
    """What a file belongs to, in the words of the reader, and where that is seen."""

    words: str
    address: str


@dataclass(frozen=True)
class Shelf:
    """One folder of the store, and what its room says of it.

    ``knows`` asks for one name, now. ``make_anew`` takes names of files that can be made again from
    others, and returns those that it made. ``prove`` takes names of files without a known hash,
    makes them again beside, writes down the hash of those that are the same, and returns these.
    Of a ``passing`` shelf nothing is missed. ``rows`` are those of which each names one file.
    """

    folder: str
    label: str | Promise
    kept: Callable[[], Iterable[Kept]]
    knows: Callable[[str], bool]
    places: Callable[[Collection[str]], Mapping[str, Place]] | None = None
    make_anew: Callable[[Collection[str]], set[str]] | None = None
    prove: Callable[[Collection[str]], set[str]] | None = None
    is_passing: bool = False
    rows: Rows | None = None


@dataclass(frozen=True)
class Rows:
    """The rows of which each names one file: in which column, and in which its hash."""

    model: type[models.Model]
    name: str = "file_name"
    sha256: str = "sha256"

    def kept(self) -> Iterator[Kept]:
        """Every file that they name."""
        named = self.model._base_manager.values_list(self.name, self.sha256)
        return (Kept(name, digest) for name, digest in named.iterator())

    def knows(self, name: str) -> bool:
        """Whether one of them names it."""
        return self.model._base_manager.filter(**{self.name: name}).exists()


_SHELVES: dict[str, Shelf] = {}


def put_up(shelf: Shelf) -> Shelf:
    """Make a shelf known. Raises ValueError when two rooms claim one folder."""
    if _SHELVES.get(shelf.folder, shelf) is not shelf:
        raise ValueError(f"two rooms keep files in {shelf.folder!r}")
    _SHELVES[shelf.folder] = shelf
    return shelf


def shelves() -> tuple[Shelf, ...]:
    """All shelves, by the name of their folder."""
    return tuple(_SHELVES[folder] for folder in sorted(_SHELVES))


def named_by() -> dict[str, str]:
    """The columns that name files which must be there, by the name of their table."""
    named = (shelf.rows for shelf in shelves() if shelf.rows and not shelf.is_passing)
    return {rows.model._meta.db_table: rows.name for rows in named}


def shelf_of(name: str) -> Shelf | None:
    """The shelf on which a stored name lies."""
    return _SHELVES.get(name.partition("/")[0])
