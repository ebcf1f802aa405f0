"""French says “1er mai”: Django knows ordinals in English only."""

from __future__ import annotations

import datetime as dt

from django.utils.dateformat import DateFormat
from django.utils.formats import date_format
from django.utils.timezone import localtime

from repairs.language.text import language

english_ordinal = DateFormat.S
FIRST_DAY = {"fr": "er"}  # behind the first of a month; no other day bears an ordinal there


def ordinal(day: DateFormat) -> str:
    """What the letter S of a date format stands for: “er” behind the first of a French month.

    Only English says every day by its ordinal; a language that is not known here says none.
    """
    if language() == "en":
        return english_ordinal(day)
    is_first = isinstance(day.data, dt.date) and day.data.day == 1
    return FIRST_DAY.get(language(), "") if is_first else ""


def teach_french_ordinals() -> None:
    """Every date that Django writes goes through this one class, on screens and in papers."""
    DateFormat.S = ordinal  # type: ignore[method-assign,assignment]


def day_words(day: dt.date | dt.datetime | None) -> str:
    """The day in the language in force; empty for none."""
    if day is None:
        return ""
    shown = localtime(day) if isinstance(day, dt.datetime) else day
    return str(date_format(shown, "DATE_FORMAT"))


def moment_words(moment: dt.datetime | None) -> str:
    """Day and hour in the language and time zone in force; empty for none."""
    return str(date_format(localtime(moment), "DATETIME_FORMAT")) if moment else ""
