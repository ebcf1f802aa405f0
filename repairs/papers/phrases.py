"""Phrases of reports that are put together of several values, some of which may be empty."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.papers.blocks.document import FindingBlock
from repairs.screens.filters import register

if TYPE_CHECKING:  # a paper of another kind needs none of them
    from repairs.papers.blocks.treatment_document import FigureChange, MaterialLine


@register.filter
def course_words(one: FindingBlock) -> str:
    """“stable, old, 146 mm (reading 1)”."""
    said = _joined((one.stability, one.age, one.extent))
    if not one.readings:
        return said
    numbers = ", ".join(map(str, one.readings))
    words = ngettext("(reading %(numbers)s)", "(readings %(numbers)s)", len(one.readings))
    return f"{said} {words % {'numbers': numbers}}"


@register.filter
def material_words(one: MaterialLine) -> str:
    """“hide glue, 12 g, lot P-118, Glue at 58 °C”."""
    glue = f"{_('Glue at')} {one.glue}" if one.glue else ""
    return _joined((one.name, one.amount, one.lot, glue))


@register.filter
def change_words(row: FigureChange) -> str:
    """“(−0,08 mm, more than its uncertainty)”."""
    return f"({_joined((row.change, row.sure))})"


def _joined(words: Iterable[str]) -> str:
    return ", ".join(word for word in words if word)
