"""Which piece of a photo is shown, how tall it is in print, and how large its marks are drawn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from repairs.photos.overlay import BADGE, Mark, Window

AROUND = 0.07  # of the picture's longest side, on each side of what is marked
LEAST = 0.3  # of the picture's width: a piece cut out still tells where on the whole it lies
BADGE_MM = 2.1  # radius of a number as it is printed


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
