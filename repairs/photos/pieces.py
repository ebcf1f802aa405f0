"""Which piece of a photo is shown, and how it is put on paper with its marks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from repairs.photos.overlay import BADGE, WHOLE, Mark, Window, marks_svg, seen_through
from repairs.photos.where import marks_words

AROUND = 0.07  # of the picture's longest side, on each side of what is marked
LEAST = 0.3  # of the picture's width: a piece cut out still tells where on the whole it lies
BADGE_MM = 2.1  # radius of a number as it is printed


class Picture(Protocol):
    """A developed photo as papers know it; ``picture`` is a name in the store."""

    @property
    def picture(self) -> str: ...

    @property
    def alt(self) -> str: ...

    @property
    def width(self) -> int: ...

    @property
    def height(self) -> int: ...

    @property
    def marks(self) -> tuple[Mark, ...]: ...


def piece_around(marks: Iterable[Mark], size_px: tuple[int, int], aspect: float) -> Window:
    """The piece around the marks, of that proportion where the photo is large enough."""
    points = [point for mark in marks for point in mark.points]
    w, h = size_px
    around = AROUND * max(w, h)
    left, right = _ends([x * w for x, _y in points], around, w)
    top, bottom = _ends([y * h for _x, y in points], around, h)
    wide = min(w, max(right - left, LEAST * w, (bottom - top) * aspect))
    high = min(h, max(bottom - top, wide / aspect))
    return Window(
        _start(left, right, wide, w) / w, _start(top, bottom, high, h) / h, wide / w, high / h
    )


def _ends(values: Sequence[float], around: float, most: float) -> tuple[float, float]:
    return max(0.0, min(values) - around), min(most, max(values) + around)


def _start(low: float, high: float, length: float, most: float) -> float:
    """Where a piece of that length begins that has the middle of both in its own middle."""
    return min(max(0.0, (low + high - length) / 2), most - length)


def marks_scale(size_px: tuple[int, int], window: Window, width_mm: float) -> float:
    """By how much the marks are drawn larger, so that their numbers can be read in print."""
    units = 100 * window.width * size_px[0] / max(size_px)
    return BADGE_MM / BADGE * units / width_mm


def height_mm(size_px: tuple[int, int], window: Window, width_mm: float) -> float:
    """How tall the piece is when it is printed that wide."""
    return width_mm / (window.width * size_px[0] / (window.height * size_px[1]))


def printed(photo: Picture, window: Window, width_mm: float) -> SafeString:
    """The piece of the photo at its printed size, with its marks."""
    img = format_html('src="store:{}" alt="{}"', photo.picture, photo.alt)
    if window == WHOLE and not photo.marks:
        return format_html('<img class="print" {} style="width:{}mm">', img, width_mm)
    size_px = photo.width, photo.height
    high_mm = height_mm(size_px, window, width_mm)
    wide_mm, whole_mm = width_mm / window.width, high_mm / window.height
    above_mm = window.top * whole_mm
    # Moved by margins: a picture that is placed absolutely in a float is lost by the page maker
    # where the block is pushed to the next page.
    moved = (
        f"width:{wide_mm:.2f}mm;height:{whole_mm:.2f}mm;"
        f"margin:{-above_mm:.2f}mm 0 0 {-window.left * wide_mm:.2f}mm"
    )
    label = marks_words(seen_through(window, photo.marks))
    scale = marks_scale(size_px, window, width_mm)
    svg = marks_svg(photo.marks, *size_px, label=label, window=window, scale=scale)
    return format_html(
        '<div class="shot" style="width:{}mm;height:{}mm"><img {} style="{}">'
        '<div style="height:{}mm;margin-top:{}mm">{}</div></div>',
        width_mm,
        f"{high_mm:.2f}",
        img,
        moved,
        f"{high_mm:.2f}",
        f"{above_mm - whole_mm:.2f}",
        mark_safe(svg),  # noqa: S308 - drawn from numbers and an escaped label
    )
