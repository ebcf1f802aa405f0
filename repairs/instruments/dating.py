"""Dates as makers' dates are written: 1771, 1650–1720, c. 1720, before 1800, 18th century."""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

EARLIEST, LATEST = 1000, 2100
_YEAR = r"(\d{4})"
_ABOUT = re.compile(rf"^(?:c\.?|ca\.?|circa|about|vers|env\.?|environ|autour de)\s*{_YEAR}$")
_RANGE = re.compile(rf"^(?:between\s+|entre\s+|de\s+)?{_YEAR}\s*(?:[-–—/]|to|and|à|et)\s*{_YEAR}$")
_BEFORE = re.compile(rf"^(?:before|avant)\s+{_YEAR}$")
_AFTER = re.compile(rf"^(?:after|après)\s+{_YEAR}$")
_CENTURY = re.compile(
    r"^(\d{1,2}|[ivx]+)\s*(?:st|nd|rd|th|e|ème|eme|ᵉ)?\s*(?:century|siècle|siecle|s\.)$"
)
_ABOUT_YEARS = 10
_OPEN_YEARS = 50


@dataclass(frozen=True)
class Years:
    """First and last year in which the instrument may have been made."""

    first: int
    last: int


def read_years(words: str) -> Years | None:
    """Read a maker's date. An empty text gives None.

    Raises ValidationError with a sentence when it cannot be read or ends before it starts.
    “About” is taken as ten years either way, “before” and “after” as fifty (common practice).
    """
    text = " ".join(words.split()).casefold()
    if not text:
        return None
    years = _match(text)
    if years is None:
        raise ValidationError(
            _(
                "“%(words)s” cannot be read as a date. "
                "Write 1771, 1650–1720, c. 1720 or 18th century."
            ),
            params={"words": words},
        )
    _check_order(years)
    return years


def _check_order(years: Years) -> None:
    if years.last < years.first:
        raise ValidationError(
            _(
                "The range ends (%(last)s) before it starts (%(first)s). "
                "Write the earlier year first."
            ),
            params={"first": years.first, "last": years.last},
        )
    if years.first < EARLIEST or years.last > LATEST:
        raise ValidationError(
            _("The years must lie between %(earliest)s and %(latest)s."),
            params={"earliest": EARLIEST, "latest": LATEST},
        )


def _match(text: str) -> Years | None:
    if re.fullmatch(_YEAR, text):
        return Years(int(text), int(text))
    if found := _RANGE.match(text):
        return Years(int(found[1]), int(found[2]))
    if found := _ABOUT.match(text):
        return Years(int(found[1]) - _ABOUT_YEARS, int(found[1]) + _ABOUT_YEARS)
    if found := _BEFORE.match(text):
        return Years(int(found[1]) - _OPEN_YEARS, int(found[1]))
    if found := _AFTER.match(text):
        return Years(int(found[1]), int(found[1]) + _OPEN_YEARS)
    if found := _CENTURY.match(text):
        return _century(found[1])
    return None


def _century(word: str) -> Years | None:
    number = int(word) if word.isdigit() else _roman(word)
    return Years(100 * (number - 1) + 1, 100 * number) if 10 <= number <= 21 else None


def _roman(word: str) -> int:
    values = [{"i": 1, "v": 5, "x": 10}[letter] for letter in word]
    pairs = zip(values, [*values[1:], 0], strict=True)
    return sum(-value if value < after else value for value, after in pairs)
