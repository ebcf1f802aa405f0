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
    """Two photos of the same thing, before and after the work."""

    before: Photo
    after: Photo

    @property
    def is_same_view(self) -> bool:
        """Whether both were taken as the same view, so that they can be laid over one another."""
        return self.before.view == self.after.view


def pair_of(photos: Iterable[Photo]) -> Pair | None:
    """The last photo before the work and the last after it, of photos of one thing.

    Two of the same view come first: of those, the pair whose photo after the work is the last.
    """
    shown = list(photos)
    views = dict.fromkeys(photo.view for photo in shown if photo.view)
    alike = [_pair([photo for photo in shown if photo.view == view]) for view in views]
    same = [pair for pair in alike if pair is not None]
    if same:
        return max(same, key=lambda pair: (LATER.index(pair.after.phase), pair.after.number))
    return _pair(shown)


def _pair(shown: Sequence[Photo]) -> Pair | None:
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
    pairs = (_pair(group) for group in by_view.values())
    return [pair for pair in pairs if pair is not None]
