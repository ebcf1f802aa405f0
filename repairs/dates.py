"""French says “1er mai”: Django knows ordinals in English only."""

from __future__ import annotations

import datetime as dt

from django.utils.dateformat import DateFormat

from repairs.text import language

english_ordinal = DateFormat.S


def ordinal(day: DateFormat) -> str:
    """What the letter S of a date format stands for: “er” behind the first of a French month."""
    if language() != "fr":
        return english_ordinal(day)
    return "er" if isinstance(day.data, dt.date) and day.data.day == 1 else ""


def teach_french_ordinals() -> None:
    """Every date that Django writes goes through this one class, on screens and in papers."""
    DateFormat.S = ordinal  # type: ignore[method-assign,assignment]
