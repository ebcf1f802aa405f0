"""Minutes as a luthier types them: 90, 1:30, 1 h 30."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.language.durations import MINUTES_AN_HOUR, duration_words
from repairs.screens.fields import QuantityField

HOUR = r"(?:h|hrs?|hours?|heures?)"


MINUTE = r"(?:mi?n|minutes?|′|')"


HOURS_AND_MINUTES = re.compile(
    rf"(?P<hours>\d+)\s*(?:{HOUR}|:)\s*(?P<minutes>\d{{1,2}})\s*{MINUTE}?", re.IGNORECASE
)


HOURS = re.compile(rf"(?P<hours>\d+(?:[.,]\d+)?)\s*{HOUR}", re.IGNORECASE)


MINUTES = re.compile(rf"(?P<minutes>\d+)\s*{MINUTE}", re.IGNORECASE)


NUMBER = re.compile(r"-?\d+(?:[.,]\d+)?")


def read_minutes(words: object) -> Decimal | None:
    """Whole minutes of what was typed; None when nothing was.

    A number alone is minutes; with a comma or a point it is hours. Raises ValidationError for
    what is no duration, and for sixty minutes or more behind hours, which is a slip.
    """
    text = "" if words is None else str(words).strip()
    if not text:
        return None
    if found := HOURS_AND_MINUTES.fullmatch(text):
        return _hours_and_minutes(text, int(found["hours"]), int(found["minutes"]))
    if found := HOURS.fullmatch(text):
        return _of_hours(found["hours"])
    if found := MINUTES.fullmatch(text):
        return Decimal(found["minutes"])
    if not NUMBER.fullmatch(text):
        raise forms.ValidationError(
            gettext_lazy(
                "“%(words)s” is not a duration. Write minutes, such as 90, or hours: 1 h 30 or "
                "1:30."
            ),
            params={"words": text},
        )
    return Decimal(text) if text.lstrip("-").isdecimal() else _of_hours(text)


def _hours_and_minutes(text: str, hours: int, minutes: int) -> Decimal:
    if minutes >= MINUTES_AN_HOUR:
        raise forms.ValidationError(
            gettext_lazy(
                "“%(words)s”: behind hours the minutes stay below 60. Check what was meant."
            ),
            params={"words": text},
        )
    return Decimal(hours * MINUTES_AN_HOUR + minutes)


def _of_hours(hours: str) -> Decimal:
    exact = Decimal(hours.replace(",", ".")) * MINUTES_AN_HOUR
    return exact.quantize(Decimal(1), ROUND_HALF_UP)


class MinutesField(QuantityField):
    """Minutes of work, typed as minutes or as hours; a whole number alone is minutes."""

    def __init__(self, *, least: int = 0, most: int = 99999, **kwargs: Any) -> None:
        kwargs.setdefault(
            "help_text",
            gettext_lazy(
                "A whole number alone is minutes. Or hours: “1 h 30”, “1:30”; a number with a "
                "comma is hours."
            ),
        )
        super().__init__(unit="min", least=str(least), most=str(most), places=0, **kwargs)
        self.widget.attrs["inputmode"] = "text"

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override] # stubs: int
        """The minutes of “1 h 30”, “1:30” or “90”. Raises ValidationError."""
        return read_minutes(value)

    def clean(self, value: Any) -> int | None:
        """Whole minutes, or None for an empty field."""
        minutes = super().clean(value)
        return None if minutes is None else int(minutes)


def understood_words(typed: object, minutes: int | None) -> str:
    """What was typed, and what it was taken for: “1 h 30” is 90 min; empty when none was typed."""
    words = str(typed or "").strip()
    if not words or minutes is None:
        return ""
    told = {"words": words, "minutes": minutes, "hours": duration_words(minutes)}
    if minutes < MINUTES_AN_HOUR:
        return _("“%(words)s” is taken as %(minutes)s min.") % told
    return _("“%(words)s” is taken as %(minutes)s min, which is %(hours)s.") % told
