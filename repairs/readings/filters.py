"""Template filters of readings: {% load readings_words %}."""

from __future__ import annotations

from django import template

from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.words import version_words

register = template.Library()
register.filter("version_words", version_words)


@register.filter
def sheet_title(gauge: str) -> str:
    """The name of what was read, never the key of its gauge."""
    return str(sheet_of(gauge).label)
