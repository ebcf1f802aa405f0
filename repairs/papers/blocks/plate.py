"""One photo as it is printed: how wide, which piece of it, and about how tall with its words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from repairs.papers.blocks.document import FindingBlock, PhotoBlock
from repairs.photos.overlay import WHOLE, Mark, Window
from repairs.photos.pieces import height_mm, piece_around

PAGE_MM, HALF_MM, THIRD_MM, QUARTER_MM = 170.0, 82.0, 53.0, 40.0
TALLEST_MM = 32.0
BESIDE_MM, NEAR_MM, NARROW_MM = 6.0, 2.0, 56.0
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


def fitting_mm(photo: PhotoBlock, width_mm: float, tallest_mm: float) -> float:
    """The width at which the photo keeps to both measures, mm."""
    return round(min(width_mm, tallest_mm * photo.width / photo.height), 1)


def cut_out(photo: PhotoBlock, marks: Iterable[Mark], width_mm: float, aspect: float) -> Plate:
    """The piece around the marks, of that proportion where the photo is large enough."""
    size_px = photo.width, photo.height
    window = piece_around(marks, size_px, aspect)
    high_mm = height_mm(size_px, window, width_mm)
    printed_mm = round(min(width_mm, width_mm * TALLEST_MM / high_mm), 1)
    return Plate(photo, width_mm=printed_mm, window=window)
