"""How the photos of a report are laid out: maps, a picture for each finding, and the other views.

Pure: from blocks to plates. A photo stands whole in one place, and a finding stands once, beside
the photo that shows it nearest; where only a view of the whole shows it, a piece is cut out of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from repairs.papers.blocks.document import FindingBlock, PhotoBlock
from repairs.papers.blocks.plate import (
    BESIDE_MM,
    HALF_MM,
    PAGE_MM,
    QUARTER_MM,
    TALLEST_MM,
    THIRD_MM,
    Plate,
    cut_out,
    fitting_mm,
)

if TYPE_CHECKING:  # a paper of another kind needs none of them
    from repairs.papers.blocks.treatment_document import PairBlock

COVER_MM, LARGE_MAP_MM = 98.0, 112.0
TALLEST_COVER_MM, TALLEST_QUARTER_MM, TALLEST_PAIR_MM = 60.0, 27.0, 52.0
TALLEST_MAP_MM, EVEN_MAP_MM, UNDER_MAP_MM = 84.0, 61.5, 5.0
BESIDE_THE_LARGE = 2  # views; more would be too small to read their numbers
MAP_VIEWS = ("front", "back", "left_side", "right_side")
PIECE_ASPECT, WORST_ASPECT = 3.0, 1.75
JOINT_WIDTH = 0.62  # of the picture's width: a piece for several findings is still a piece


def maps(photos: Sequence[PhotoBlock]) -> tuple[Plate, ...]:
    """For each view of the whole the photo with the most marks, whole; the richest first.

    One large with up to two beside it; of more views each has a quarter of the space.
    """
    found = []
    for view in MAP_VIEWS:
        marked = [photo for photo in photos if photo.view == view and photo.marks]
        if marked:
            found.append(max(marked, key=lambda photo: len(_numbers(photo))))
    found.sort(key=lambda photo: -len(_numbers(photo)))
    if len(found) > BESIDE_THE_LARGE + 1:
        laid = [Plate(photo, width_mm=fitting_mm(photo, HALF_MM, EVEN_MAP_MM)) for photo in found]
    else:
        laid = [*_large_map(found[:1]), *_maps_beside(found)]
    return tuple(replace(plate, is_home=True) for plate in laid)


def _large_map(found: Sequence[PhotoBlock]) -> list[Plate]:
    return [
        Plate(photo, width_mm=fitting_mm(photo, LARGE_MAP_MM, TALLEST_MAP_MM)) for photo in found
    ]


def _maps_beside(found: Sequence[PhotoBlock]) -> list[Plate]:
    """The other views one above the other, together about as tall as the large one."""
    others = found[1:]
    if not others:
        return []
    room_mm = PAGE_MM - BESIDE_MM - _large_map(found[:1])[0].width_mm
    tallest_mm = TALLEST_MAP_MM / len(others) - UNDER_MAP_MM * (len(others) - 1)
    return [
        Plate(photo, width_mm=fitting_mm(photo, min(room_mm, HALF_MM), tallest_mm))
        for photo in others
    ]


def _numbers(photo: PhotoBlock) -> set[int]:
    return {mark.number for mark in photo.marks}


def finding_plates(
    findings: Iterable[FindingBlock], photos: Sequence[PhotoBlock]
) -> tuple[Plate, ...]:
    """Every finding once, those of one photo together, in the order of their numbers."""
    mapped = {plate.photo.number for plate in maps(photos) if plate.photo}
    shown = {photo.number: photo for photo in photos}
    homes: dict[tuple[int, int], list[FindingBlock]] = {}
    for one in findings:
        near = [shown[n] for n in one.photos if n in shown and n not in mapped]
        far = [shown[n] for n in one.photos if n in shown and n in mapped]
        if near:
            homes.setdefault((_nearest(near, homes).number, 0), []).append(one)
        else:
            photo = far[0] if far else None
            homes.setdefault(_piece_of(photo, one, homes), []).append(one)
    return tuple(
        _plate(shown.get(number), told, is_piece=bool(one)) for (number, one), told in homes.items()
    )


def _piece_of(
    photo: PhotoBlock | None, one: FindingBlock, homes: Mapping[tuple[int, int], list[FindingBlock]]
) -> tuple[int, int]:
    """The piece of the map that shows the finding: one cut out already when both fit it closely."""
    if photo is None:
        return 0, one.number
    for home, told in homes.items():
        if home[0] == photo.number and home[1]:
            joint = _piece(photo, (*told, one)).window
            if joint.width <= JOINT_WIDTH:
                return home
    return photo.number, one.number


def _piece(photo: PhotoBlock, told: Iterable[FindingBlock]) -> Plate:
    """The piece of the photo around what is marked of those findings."""
    numbers = {one.number for one in told}
    marks = [mark for mark in photo.marks if mark.number in numbers]
    return cut_out(photo, marks, HALF_MM, PIECE_ASPECT)


def _nearest(near: Sequence[PhotoBlock], homes: Iterable[tuple[int, int]]) -> PhotoBlock:
    """A photo that is shown already, else the one that shows the least beside it."""
    known = {number for number, one in homes if not one}
    return min(near, key=lambda photo: (photo.number not in known, len(_numbers(photo))))


def _plate(photo: PhotoBlock | None, told: Sequence[FindingBlock], *, is_piece: bool) -> Plate:
    """The whole photo of its findings; of a map the piece around them."""
    if photo is None:
        return Plate(None, tuple(told))
    if is_piece:
        return replace(_piece(photo, told), findings=tuple(told))
    return Plate(photo, tuple(told), fitting_mm(photo, HALF_MM, TALLEST_MM), is_home=True)


def worst_plates(worst: Iterable[FindingBlock], photos: Sequence[PhotoBlock]) -> tuple[Plate, ...]:
    """The gravest findings for page one, each with the piece of a photo around it."""
    plates = []
    for one in worst:
        at = [plate for plate in finding_plates([one], photos) if plate.photo]
        photo = at[0].photo if at else None
        marks = [mark for mark in photo.marks if mark.number == one.number] if photo else []
        if photo and marks:
            plates.append(replace(cut_out(photo, marks, THIRD_MM, WORST_ASPECT), findings=(one,)))
        else:
            plates.append(Plate(None, (one,), THIRD_MM))
    return tuple(plates)


def other_views(
    findings: Sequence[FindingBlock], photos: Sequence[PhotoBlock], cover: PhotoBlock | None
) -> tuple[Plate, ...]:
    """The photos that stand whole nowhere else, four a row."""
    whole = {
        plate.photo.number
        for plate in finding_plates(findings, photos)
        if plate.photo and not plate.is_piece
    }
    mapped = {plate.photo.number for plate in maps(photos) if plate.photo}
    whole |= {plate.photo.number for plate in maps(photos) if plate.photo and not plate.is_piece}
    if cover and (cover.number in mapped or not cover.marks):
        whole.add(cover.number)
    return tuple(
        Plate(
            photo,
            width_mm=fitting_mm(photo, QUARTER_MM, TALLEST_QUARTER_MM),
            is_home=photo.number not in mapped,
        )
        for photo in photos
        if photo.number not in whole
    )


def cover_plate(cover: PhotoBlock | None) -> Plate | None:
    """The face of the instrument on page one, without marks."""
    if cover is None:
        return None
    width_mm = fitting_mm(cover, COVER_MM, TALLEST_COVER_MM)
    return Plate(replace(cover, marks=()), width_mm=width_mm)


def face_plate(
    findings: Sequence[FindingBlock], photos: Sequence[PhotoBlock], cover: PhotoBlock | None
) -> Plate | None:
    """The face of the instrument on page one, at home there when it stands nowhere else."""
    plate = cover_plate(cover)
    if plate is None or cover is None:
        return None
    elsewhere = (
        *maps(photos),
        *finding_plates(findings, photos),
        *other_views(findings, photos, cover),
    )
    homes = {one.photo.number for one in elsewhere if one.photo and one.is_home}
    return replace(plate, is_home=cover.number not in homes)


def pair_plates(pair: PairBlock, *, is_large: bool) -> tuple[Plate, Plate]:
    """Before and after, of one width: half a page each, or a quarter."""
    width_mm, tallest_mm = (
        (HALF_MM, TALLEST_PAIR_MM) if is_large else (QUARTER_MM, TALLEST_QUARTER_MM)
    )
    before, after = (
        Plate(photo, width_mm=fitting_mm(photo, width_mm, tallest_mm)) for photo in pair.both
    )
    return before, after


@dataclass(frozen=True)
class PhotoCell:
    """Two photos in half the width of a page; ``of`` is empty for photos of the work going on."""

    of: str
    plates: tuple[Plate, ...]


def photo_cells(pairs: Iterable[PairBlock], during: Iterable[PhotoBlock]) -> tuple[PhotoCell, ...]:
    """A cell for each pair, then one for every two photos taken during the work."""
    cells = [PhotoCell(pair.of, pair_plates(pair, is_large=False)) for pair in pairs]
    going_on = [
        Plate(photo, width_mm=fitting_mm(photo, QUARTER_MM, TALLEST_QUARTER_MM)) for photo in during
    ]
    twos = [tuple(going_on[start : start + 2]) for start in range(0, len(going_on), 2)]
    return (*cells, *(PhotoCell("", two) for two in twos))


def telling_pair(pairs: Sequence[PairBlock]) -> PairBlock | None:
    """The pair that is about the gravest finding; the first one where none is about any."""
    return max(pairs, key=_gravest, default=None)


def _gravest(pair: PairBlock) -> int:
    return max((one.severity for one in pair.before.findings), default=0)
