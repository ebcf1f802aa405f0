"""A photo, or a piece of it, as it is put on paper with its marks."""

from __future__ import annotations

from typing import Protocol

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from repairs.photos.overlay import WHOLE, Mark, Window, marks_svg, seen_through
from repairs.photos.pieces import height_mm, marks_scale
from repairs.photos.where import marks_words


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
