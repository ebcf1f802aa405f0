"""One photo as it is printed: how wide, which piece of it, and about how tall with its words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from repairs.papers.blocks.document import FindingBlock, PhotoBlock
from repairs.photos.overlay import WHOLE, Mark, Window

PAGE_MM, HALF_MM, THIRD_MM, QUARTER_MM = 170.0, 82.0, 53.0, 40.0
TALLEST_MM = 32.0
BESIDE_MM, NEAR_MM, NARROW_MM = 6.0, 2.0, 56.0
AROUND = 0.07  # of the picture's longest side, on each side of what is marked
LEAST = 0.3  # of the picture's width: a piece cut out still tells where on the whole it lies
BADGE_UNITS, BADGE_MM = 2.2, 2.1  # radius on a picture 100 units long, and as it is printed
LONG_LETTERS = 900  # beyond them a finding takes the whole width of the page
# For filling two columns evenly, not for placing anything: heights of lines, letters in them.
BLOCK_MM, LINE_MM, HEAD_MM, CAPTION_LINE_MM = 240.0, 3.9, 7.0, 3.9
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
        shape = self.window.width * self.photo.width / (self.window.height * self.photo.height)
        return self.width_mm / shape

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
    def scale(self) -> float:
        """By how much the marks are drawn larger, so that their numbers can be read in print."""
        if self.photo is None:
            return 1.0
        longest = max(self.photo.width, self.photo.height)
        units = 100 * self.window.width * self.photo.width / longest
        return BADGE_MM / BADGE_UNITS * units / self.width_mm

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


def fitting_mm(photo: PhotoBlock, width_mm: float, tallest_mm: float) -> float:
    """The width at which the photo keeps to both measures, mm."""
    return round(min(width_mm, tallest_mm * photo.width / photo.height), 1)


def cut_out(photo: PhotoBlock, marks: Iterable[Mark], width_mm: float, aspect: float) -> Plate:
    """The piece around the marks, of that proportion where the photo is large enough."""
    points = [point for mark in marks for point in mark.points]
    w, h = photo.width, photo.height
    around = AROUND * max(w, h)
    left, right = _ends([x * w for x, _y in points], around, w)
    top, bottom = _ends([y * h for _x, y in points], around, h)
    wide = min(w, max(right - left, LEAST * w, (bottom - top) * aspect))
    high = min(h, max(bottom - top, wide / aspect))
    window = Window(
        _start(left, right, wide, w) / w, _start(top, bottom, high, h) / h, wide / w, high / h
    )
    printed_mm = round(min(width_mm, TALLEST_MM * wide / high), 1)
    return Plate(photo, width_mm=printed_mm, window=window)


def _ends(values: Sequence[float], around: float, most: float) -> tuple[float, float]:
    return max(0.0, min(values) - around), min(most, max(values) + around)


def _start(low: float, high: float, length: float, most: float) -> float:
    """Where a piece of that length begins that has the middle of both in its own middle."""
    return min(max(0.0, (low + high - length) / 2), most - length)
