"""Rates of VAT by country and day: dated data of ``fixtures/tax``.

What else the law says of invoices stands in the same files and is read by the room of invoices.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any, TypeVar

from django.conf import settings
from django.utils.translation import gettext as _

from repairs.language.text import decimal_words, in_language, semicolons
from repairs.law.countries import country_name

FOLDER = "tax"
Words = Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class Dated:
    """Something that the law says from one day to another, that one included."""

    valid_from: dt.date
    valid_until: dt.date | None
    source: str

    def holds_on(self, day: dt.date) -> bool:
        """Whether it holds on that day; first and last day are included."""
        # Both ends belong to it: a law says “until 31 December”, and means that day too.
        return self.valid_from <= day and (self.valid_until is None or day <= self.valid_until)


@dataclass(frozen=True, kw_only=True)
class Rate(Dated):
    """One rate of VAT in per cent, with the name that it bears there."""

    key: str
    label: Words
    rate_pct: Decimal

    def __str__(self) -> str:
        return in_language(self.label)


Kind = TypeVar("Kind", bound=Dated)


@cache
def countries() -> tuple[str, ...]:
    """Those whose law is known here, in capitals."""
    files = (settings.FIXTURES / FOLDER).glob("*.json")
    return tuple(sorted(file.stem.upper() for file in files))


@cache
def law_data(country: str) -> Mapping[str, Any] | None:
    """What is written of the law of a country; None when nothing is."""
    if country not in countries():
        return None
    file = settings.FIXTURES / FOLDER / f"{country.lower()}.json"
    data: Mapping[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return data


def dated(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row of a file with days in place of their texts. Raises ValueError for what is no day."""
    until = row["valid_until"]
    return {
        **row,
        "valid_from": dt.date.fromisoformat(row["valid_from"]),
        "valid_until": dt.date.fromisoformat(until) if until else None,
    }


def holding(rows: Iterable[Kind], day: dt.date) -> tuple[Kind, ...]:
    """Those that hold on that day, in their order."""
    return tuple(row for row in rows if row.holds_on(day))


@cache
def _rates(country: str) -> tuple[Rate, ...]:
    data = law_data(country) or {"rates": ()}
    rows = (dated(row) | {"rate_pct": Decimal(row["rate_pct"])} for row in data["rates"])
    return tuple(Rate(**row) for row in rows)


def rates_on(country: str, day: dt.date) -> tuple[Rate, ...]:
    """The rates of VAT that hold in that country on that day; none for an unknown country."""
    return holding(_rates(country), day)


def same_rate_on(country: str, rate_pct: Decimal, day: dt.date) -> Decimal:
    """What the rate that is ``rate_pct`` today was on another day: the standard rate then.

    The rate itself where it held on that day, too, or where nothing is known of it.
    """
    held = rates_on(country, day)
    if any(one.rate_pct == rate_pct for one in held):
        return rate_pct
    names = [one.key for one in _rates(country) if one.rate_pct == rate_pct]
    return next((one.rate_pct for one in held if one.key in names), rate_pct)


def rate_fault(country: str, rate_pct: Decimal, day: dt.date) -> str:
    """A sentence when that rate does not hold there on that day; empty when it does."""
    held = rates_on(country, day)
    # Unknown countries are let through: a house abroad must not be stopped by our lack of data.
    if not held or any(one.rate_pct == rate_pct for one in held):
        return ""
    return _("%(rate)s %% is no rate of VAT in %(country)s on that day; known are %(known)s.") % {
        "rate": decimal_words(rate_pct),
        "country": country_name(country),
        "known": semicolons(decimal_words(one.rate_pct) for one in held),
    }
