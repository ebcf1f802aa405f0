"""How the photos of a report are laid out: maps, a picture for each finding, and the other views.

Pure: from blocks to plates. A photo stands whole in one place, and a finding stands once, beside
the photo that shows it nearest; where only a view of the whole shows it, a piece is cut out of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil

from repairs.papers.blocks.document import FindingBlock, PhotoBlock
from repairs.papers.blocks.treatment_document import PairBlock
from repairs.photos.overlay import WHOLE, Mark, Window
from repairs.photos.pieces import height_mm, piece_around

PAGE_MM, HALF_MM, THIRD_MM, COVER_MM = 170.0, 82.0, 53.0, 98.0
TALLEST_MAP_MM, TALLEST_MM, TALLEST_THIRD_MM, TALLEST_COVER_MM = 60.0, 32.0, 34.0, 60.0
BESIDE_MM, NEAR_MM, NARROW_MM = 6.0, 2.0, 56.0
TALLEST_HALF_MM = 46.0
QUARTER_MM, TALLEST_QUARTER_MM = 40.0, 27.0
MAP_VIEWS = ("front", "back", "left_side", "right_side")
MAP_ASPECT, PIECE_ASPECT, WORST_ASPECT = 2.1, 3.0, 1.75
LONG_LETTERS = 900  # beyond them a finding takes the whole width of the page
# For filling two columns evenly, not for placing anything: heights of lines, letters in them.
BLOCK_MM, LINE_MM, HEAD_MM, CAPTION_LINE_MM = 240.0, 4.1, 6.5, 3.8
LINE_LETTERS, CAPTION_LETTERS, HEAD_LETTERS, FRAME_LETTERS = 56, 58, 42, 90


@dataclass(frozen=True)
class Plate:
    """A photo, or the piece of it in the window, at its printed width, and what stands beside it.

    ``photo`` is None where a finding was not photographed. ``is_home`` is the one place of a photo
    to which its number leads.
    """

    photo: PhotoBlock | None
    findings: tuple[FindingBlock, ...] = ()
    width_mm: float = HALF_MM
    window: Window = WHOLE
    is_home: bool = False

    @property
    def height_mm(self) -> float:
        """Printed height of the picture; 0 without one."""
        if self.photo is None:
            return 0.0
        return height_mm((self.photo.width, self.photo.height), self.window, self.width_mm)

    @property
    def width_css(self) -> str:
        """The printed width as the style takes it."""
        return f"{self.width_mm:.1f}mm"

    @property
    def beside_css(self) -> str:
        """Where begins what stands to the right of the picture."""
        gap_mm = NEAR_MM if self.is_narrow else BESIDE_MM
        return f"{self.width_mm + gap_mm:.1f}mm"

    @property
    def about_mm(self) -> float:
        """About how tall the plate is with what stands under it, in half the width of a page."""
        caption_mm = 0.0
        if self.photo and not self.is_narrow:
            letters = len(self.photo.caption) + len("Photo 12 · ")
            caption_mm = CAPTION_LINE_MM * ceil(letters / CAPTION_LETTERS)
        return self.height_mm + caption_mm + sum(_said_mm(one) for one in self.findings)

    @property
    def is_narrow(self) -> bool:
        """Whether half the width of a page has room for the caption beside the picture."""
        return self.findings != () and self.width_mm <= NARROW_MM

    @property
    def is_piece(self) -> bool:
        """Whether a piece of the photo is shown and not the whole."""
        return self.window != WHOLE

    @property
    def is_long(self) -> bool:
        """Whether what is said is too long to stand in half the width of a page."""
        letters = sum(len(one.note) + len(one.location) for one in self.findings)
        return letters > LONG_LETTERS or self.about_mm > BLOCK_MM


def _said_mm(one: FindingBlock) -> float:
    letters = len(one.note) + len(one.location) + len(one.extent) + FRAME_LETTERS
    name_mm = LINE_MM * (ceil(len(one.name) / HEAD_LETTERS) - 1)
    return HEAD_MM + name_mm + LINE_MM * ceil(letters / LINE_LETTERS)


def maps(photos: Sequence[PhotoBlock]) -> tuple[Plate, ...]:
    """For each view of the whole the photo with the most marks; the richest first, page wide."""
    found = []
    for view in MAP_VIEWS:
        marked = [photo for photo in photos if photo.view == view and photo.marks]
        if marked:
            found.append(max(marked, key=lambda photo: len(_numbers(photo))))
    found.sort(key=lambda photo: -len(_numbers(photo)))
    first, others = found[:1], found[1:]
    laid = (
        *(_cut(photo, photo.marks, PAGE_MM, MAP_ASPECT) for photo in first),
        *(Plate(photo, width_mm=fitting_mm(photo, HALF_MM, TALLEST_HALF_MM)) for photo in others),
    )
    return tuple(replace(plate, is_home=True) for plate in laid)


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
            homes[(far[0].number if far else 0, one.number)] = [one]
    return tuple(
        _plate(shown.get(number), told, is_piece=bool(one)) for (number, one), told in homes.items()
    )


def _nearest(near: Sequence[PhotoBlock], homes: Iterable[tuple[int, int]]) -> PhotoBlock:
    """A photo that is shown already, else the one that shows the least beside it."""
    known = {number for number, one in homes if not one}
    return min(near, key=lambda photo: (photo.number not in known, len(_numbers(photo))))


def _plate(photo: PhotoBlock | None, told: Sequence[FindingBlock], *, is_piece: bool) -> Plate:
    """The whole photo of its findings; of a map the piece around its one finding."""
    if photo is None:
        return Plate(None, tuple(told))
    if is_piece:
        marks = [mark for mark in photo.marks if mark.number == told[0].number]
        return replace(_cut(photo, marks, HALF_MM, PIECE_ASPECT), findings=tuple(told))
    return Plate(photo, tuple(told), fitting_mm(photo, HALF_MM, TALLEST_MM), is_home=True)


def worst_plates(worst: Iterable[FindingBlock], photos: Sequence[PhotoBlock]) -> tuple[Plate, ...]:
    """The gravest findings for page one, each with the piece of a photo around it."""
    plates = []
    for one in worst:
        at = [plate for plate in finding_plates([one], photos) if plate.photo]
        photo = at[0].photo if at else None
        marks = [mark for mark in photo.marks if mark.number == one.number] if photo else []
        if photo and marks:
            plates.append(replace(_cut(photo, marks, THIRD_MM, WORST_ASPECT), findings=(one,)))
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


def fitting_mm(photo: PhotoBlock, width_mm: float, tallest_mm: float) -> float:
    """The width at which the photo keeps to both measures, mm."""
    return round(min(width_mm, tallest_mm * photo.width / photo.height), 1)


def _cut(photo: PhotoBlock, marks: Iterable[Mark], width_mm: float, aspect: float) -> Plate:
    """The piece around the marks, as wide as its place, but no taller than a map or a picture."""
    window = piece_around(marks, (photo.width, photo.height), aspect)
    tallest_mm = TALLEST_MAP_MM if width_mm == PAGE_MM else TALLEST_MM
    high_mm = height_mm((photo.width, photo.height), window, width_mm)
    printed_mm = round(min(width_mm, width_mm * tallest_mm / high_mm), 1)
    return Plate(photo, width_mm=printed_mm, window=window)


def pair_plates(pair: PairBlock, *, is_large: bool) -> tuple[Plate, Plate]:
    """Before and after, of one width: half a page each, or a quarter."""
    width_mm, tallest_mm = (
        (HALF_MM, TALLEST_COVER_MM) if is_large else (QUARTER_MM, TALLEST_QUARTER_MM)
    )
    before, after = (
        Plate(photo, width_mm=fitting_mm(photo, width_mm, tallest_mm)) for photo in pair.both
    )
    return before, after


def third_plates(photos: Iterable[PhotoBlock]) -> tuple[Plate, ...]:
    """Photos of which three stand in a row."""
    return tuple(
        Plate(photo, width_mm=fitting_mm(photo, THIRD_MM, TALLEST_THIRD_MM)) for photo in photos
    )


def telling_pair(pairs: Sequence[PairBlock]) -> PairBlock | None:
    """The pair that is about the gravest finding; the first one where none is about any."""
    return max(pairs, key=_gravest, default=None)


def _gravest(pair: PairBlock) -> int:
    return max((one.severity for one in pair.before.findings), default=0)
