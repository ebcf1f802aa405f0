"""The photo of what an estimate is about: the findings that its lines answer, marked on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from repairs.cases.models import Case
from repairs.estimates.models import Option
from repairs.photos.models import FRONT, PRINT_PX, Photo
from repairs.photos.overlay import WHOLE, Mark, Window
from repairs.photos.pieces import height_mm, piece_around
from repairs.photos.seen import seen_words

ALONE_MM, BESIDE_MM = 104.0, 51.0  # what is said of them stands to their right
TALLEST_MM = 36.0
ALONE_ASPECT, BESIDE_ASPECT = 2.9, 1.45
MOST = 2


@dataclass(frozen=True, kw_only=True)
class PictureBlock:
    """A piece of a photo with the numbers of the findings that are meant, at its printed width."""

    number: int
    picture: str
    width: int
    height: int
    alt: str
    caption: str
    marks: tuple[Mark, ...]
    window: Window
    width_mm: float


def pictures_of(case: Case, options: Iterable[Option]) -> tuple[PictureBlock, ...]:
    """One photo that shows the most of what is meant, and another where it shows the rest.

    Where nothing that is meant was marked, the face of the instrument stands there.
    """
    meant = _meant(options)
    photos = list(case.photos.ready().prefetch_related("tags__finding_link"))
    marked = {photo.number: _marks(photo, meant) for photo in photos}
    chosen = _chosen(photos, marked)
    for photo in chosen:
        photo.case = case
    return tuple(_block(photo, marked[photo.number], is_alone=len(chosen) == 1) for photo in chosen)


def _meant(options: Iterable[Option]) -> Mapping[int, int]:
    """The numbers of the findings that lines answer, by their ids."""
    lines = (line for option in options for line in option.lines.all())
    return {one.pk: one.number for line in lines for one in line.findings.all()}


def _marks(photo: Photo, meant: Mapping[int, int]) -> tuple[Mark, ...]:
    return tuple(
        Mark(
            number=meant[tag.finding_link.finding_id],
            shape=tag.shape,
            points=tuple((x, y) for x, y in tag.points),
        )
        for tag in photo.tags.all()
        if tag.withdrawn_at is None
        and hasattr(tag, "finding_link")
        and tag.finding_link.finding_id in meant
    )


def _chosen(photos: Sequence[Photo], marked: Mapping[int, tuple[Mark, ...]]) -> list[Photo]:
    """The photos that show the most that none before them shows, a front before another view."""
    chosen: list[Photo] = []
    shown: set[int] = set()
    fronts_first = sorted(photos, key=lambda photo: (photo.view != FRONT, photo.number))
    while fronts_first and len(chosen) < MOST:
        news = {one.number: _numbers(marked[one.number]) - shown for one in fronts_first}
        best = max(fronts_first, key=lambda photo: len(news[photo.number]))
        if not news[best.number]:
            break
        chosen.append(best)
        shown |= news[best.number]
    return chosen or fronts_first[:1]


def _numbers(marks: Iterable[Mark]) -> set[int]:
    return {mark.number for mark in marks}


def _block(photo: Photo, marks: tuple[Mark, ...], *, is_alone: bool) -> PictureBlock:
    original = photo.original
    if original is None:
        raise ValueError("a ready photo has an original")
    size_px = original.size_px(PRINT_PX)
    most_mm, aspect = (ALONE_MM, ALONE_ASPECT) if is_alone else (BESIDE_MM, BESIDE_ASPECT)
    window = piece_around(marks, size_px, aspect) if marks else WHOLE
    high_mm = height_mm(size_px, window, most_mm)
    return PictureBlock(
        number=photo.number,
        picture=original.derivative(PRINT_PX),
        width=size_px[0],
        height=size_px[1],
        alt=seen_words(photo),
        caption=photo.view_label or photo.caption,
        marks=marks,
        window=window,
        width_mm=round(min(most_mm, most_mm * TALLEST_MM / high_mm), 1),
    )
