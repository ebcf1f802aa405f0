"""Photos and the marks on them, on screens and papers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from repairs.photos.faces import faces_of_cases, faces_of_instruments
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


@register.simple_tag
def case_faces(cases: Iterable[Any]) -> Mapping[str, str]:
    """Addresses of the small pictures of a list of cases, by number, in one query."""
    return faces_of_cases(case.number for case in cases)


@register.simple_tag
def instrument_faces(instruments: Iterable[Any]) -> Mapping[str, str]:
    """Addresses of the small pictures of a list of instruments, by number, in one query."""
    return faces_of_instruments(instrument.number for instrument in instruments)


@register.simple_tag
def instrument_face(instrument: Any) -> str:
    """The address of its picture as wide as a phone; empty when it was never shot."""
    return faces_of_instruments([instrument.number], PHONE_PX).get(instrument.number, "")


@register.simple_tag
def paper_faces(papers: Iterable[Any]) -> Mapping[str, str]:
    """Addresses of the small pictures of the cases of a list of papers, by the papers' subject."""
    numbers = [
        paper.subject.removeprefix(OF_A_CASE)
        for paper in papers
        if paper.subject.startswith(OF_A_CASE)
    ]
    found = faces_of_cases(numbers).items()
    return {f"{OF_A_CASE}{number}": address for number, address in found}


@register.filter
def at(found: Mapping[str, str], key: str) -> str:
    """What stands under that key; empty when nothing does."""
    return found.get(key, "") if found else ""
