"""Photos and the marks on them, on screens and papers."""

from __future__ import annotations

from typing import Any

from django.utils.safestring import SafeString, mark_safe

from repairs.photos.overlay import marks_svg
from repairs.screens.filters import in_twos, register


@register.simple_tag
def marks(photo: Any, label: str = "") -> SafeString:
    """The marks of a photo block of a report."""
    return mark_safe(marks_svg(photo.marks, photo.width, photo.height, label=label))  # noqa: S308


@register.filter
def safe_marks(svg: str) -> SafeString:
    """Drawings that the house itself made are put into the page as they are."""
    return mark_safe(svg)  # noqa: S308 - drawn by photos.overlay from numbers


@register.filter
def untagged_pairs(photos: Any) -> list[list[Any]]:
    """The photos that face no finding, two by two."""
    return in_twos([photo for photo in photos if not photo.findings])
