"""Template filters of readings: {% load readings_words %}.

Django loads this file for every page and paper, most of which show no reading: the sheets and their
gauges are loaded by the first that does.
"""

from __future__ import annotations

from django import template

register = template.Library()


@register.filter
def version_words(version: str) -> str:
    """The version of a computation as a reader is told it."""
    from repairs.readings import words  # noqa: PLC0415 - as the head of this file says

    return words.version_words(version)


@register.filter
def sheet_title(gauge: str) -> str:
    """The name of what was read, never the key of its gauge."""
    from repairs.readings.sheets.catalogue import sheet_of  # noqa: PLC0415 - likewise

    return str(sheet_of(gauge).label)
