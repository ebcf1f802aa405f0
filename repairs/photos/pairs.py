"""Photos of the same thing before and after the work, two by two."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from repairs.photos.models import Photo

EARLIER = (Photo.Phase.ARRIVAL, Photo.Phase.BEFORE)
LATER = (Photo.Phase.AFTER, Photo.Phase.RETURN)
# Views of which each photo shows another thing: those are paired by what is tagged on them.
OF_MANY_THINGS = ("", "damage", "scale_card")


@dataclass(frozen=True)
class Pair:
    before: Photo
    after: Photo


def pair_of(photos: Iterable[Photo]) -> Pair | None:
    """The last photo before the work and the last after it, of photos of one thing."""
    shown = list(photos)
    before = _last(shown, EARLIER)
    after = _last(shown, LATER)
    return Pair(before, after) if before is not None and after is not None else None


def _last(photos: Sequence[Photo], phases: Sequence[str]) -> Photo | None:
    fitting = [photo for photo in photos if photo.phase in phases]
    return max(fitting, key=lambda p: (phases.index(p.phase), p.number), default=None)


def view_pairs(photos: Iterable[Photo]) -> list[Pair]:
    """A pair for each standard view that was taken before and after, in the order of the views."""
    by_view: defaultdict[str, list[Photo]] = defaultdict(list)
    for photo in photos:
        if photo.view not in OF_MANY_THINGS:
            by_view[photo.view].append(photo)
    pairs = (pair_of(group) for group in by_view.values())
    return [pair for pair in pairs if pair is not None]
