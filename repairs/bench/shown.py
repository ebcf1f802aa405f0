"""A page stays short for whoever reads it: the first of many rows, and how many more there are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from django.db.models import Prefetch, prefetch_related_objects

from repairs.photos.models import Photo, Tag
from repairs.photos.overlay import Mark, marks_svg

MOST_ROWS = 60
Row = TypeVar("Row")
WHOLE = "whole"  # the word of an address that asks for a list to its end


@dataclass(frozen=True)
class First(Generic[Row]):
    """The rows that a page lists, of all that there are; ``key`` names the list in its address."""

    key: str
    rows: Sequence[Row]
    count: int

    @property
    def more(self) -> int:
        """How many rows of the list are not shown yet."""
        return self.count - len(self.rows)

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)


def first(key: str, rows: Sequence[Row], whole: str = "") -> First[Row]:
    """The first rows of a list, or all where the address asks for ``whole`` of that list."""
    return First(key, rows if whole == key else rows[:MOST_ROWS], len(rows))


@dataclass(frozen=True)
class Shown:
    """A photo with its marks drawn, as the page shows it."""

    photo: Photo
    marks: str


def shown_photos(photos: First[Photo]) -> First[Shown]:
    """The photos that are listed, with the tags that stand on them, in one query for all.

    The finding comes with its tag: a prefetch that goes on from a thousand tags to the finding of
    each is a condition too deep for SQLite.
    """
    tags = Tag.objects.filter(withdrawn_at=None).select_related("finding_link__finding")
    prefetch_related_objects(list(photos), Prefetch("tags", tags))
    rows = [Shown(photo, _marks(photo)) for photo in photos]
    return First(photos.key, rows, photos.count)


def _marks(photo: Photo) -> str:
    if photo.original is None:
        return ""
    marks = []
    for tag in photo.tags.all():
        link = getattr(tag, "finding_link", None)
        if link is None or link.finding.withdrawn_at is None:
            points = tuple((x, y) for x, y in tag.points)
            marks.append(Mark(link.finding.number if link else 0, tag.shape, points))
    return marks_svg(marks, photo.original.width, photo.original.height)
