"""Photos and the marks on them, on screens and papers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from repairs.photos.faces import face_of_row, faces_of
from repairs.photos.models import PHONE_PX
from repairs.photos.overlay import marks_svg
from repairs.photos.where import marks_words
from repairs.screens.filters import register

OF_A_CASE = "case:"


@register.simple_tag
def marks(photo: Any, label: str = "") -> SafeString:
    """The marks of a photo block of a report."""
    return mark_safe(marks_svg(photo.marks, photo.width, photo.height, label=label))  # noqa: S308


register.filter("marks_words", marks_words)


@register.filter
def safe_marks(svg: str) -> SafeString:
    """Drawings that the house itself made are put into the page as they are."""
    return mark_safe(svg)  # noqa: S308 - drawn by photos.overlay from numbers


register.filter("face", face_of_row)


@register.simple_tag
def instrument_faces(instruments: Iterable[Any], cases: Iterable[Any] = ()) -> Mapping[str, str]:
    """Addresses of the small pictures of instruments and of cases, by number, in one query."""
    return faces_of((case.number for case in cases), (one.number for one in instruments))


@register.simple_tag
def instrument_face(instrument: Any) -> str:
    """The address of its picture as wide as a phone; empty when it was never shot."""
    found = faces_of(instruments=[instrument.number], longest_px=PHONE_PX)
    return found.get(instrument.number, "")


@register.simple_tag
def paper_faces(papers: Iterable[Any]) -> Mapping[str, str]:
    """Addresses of the small pictures of the cases of a list of papers, by the papers' subject."""
    numbers = [
        paper.subject.removeprefix(OF_A_CASE)
        for paper in papers
        if paper.subject.startswith(OF_A_CASE)
    ]
    return {f"{OF_A_CASE}{number}": address for number, address in faces_of(numbers).items()}


@register.filter
def at(found: Mapping[str, str], key: str) -> str:
    """What stands under that key; empty when nothing does."""
    return found.get(key, "") if found else ""
