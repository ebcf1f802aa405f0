"""Rates of VAT, reasons for charging none, and mentions of late payment, by country and day.

They are data in ``fixtures/tax``, each with the day from which it holds and where it was had.
Most are recalled, not read in a law book: ``CONFIRM`` is shown wherever they are offered.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any, TypeVar

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.instruments.kinds import read_fixture
from repairs.invoices.document import STANDARD, ZERO, Exemption, Note
from repairs.text import decimal_words, in_language, semicolons

CONFIRM = gettext_lazy(
    "Rates and legal texts are a help, not advice: have your accountant confirm them."
)
FOLDER = "tax"
SMALL_BUSINESS, REVERSE_CHARGE, WITHIN_EU, EXPORT, OUTSIDE = (
    "small_business",
    "reverse_charge",
    "within_eu",
    "export",
    "outside",
)
Words = Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class Dated:
    """Something that the law says from one day to another, that one included."""

    valid_from: dt.date
    valid_until: dt.date | None
    source: str

    def holds_on(self, day: dt.date) -> bool:
        return self.valid_from <= day and (self.valid_until is None or day <= self.valid_until)


@dataclass(frozen=True, kw_only=True)
class Rate(Dated):
    key: str
    label: Words
    rate_pct: Decimal

    def __str__(self) -> str:
        return in_language(self.label)

    @property
    def category(self) -> str:
        return STANDARD if self.rate_pct else ZERO


@dataclass(frozen=True, kw_only=True)
class Reason(Dated):
    """Why no tax is charged, with its category, its VATEX code if it has one, and its text."""

    key: str
    label: Words
    category: str
    code: str
    text: Words

    def __str__(self) -> str:
        return in_language(self.label)

    def exemption(self, language: str) -> Exemption:
        return Exemption(category=self.category, code=self.code, text=self.text[language])


@dataclass(frozen=True, kw_only=True)
class Mention(Dated):
    """A text that must stand on an invoice; ``when`` is business, private or always."""

    code: str
    when: str
    text: Words


@dataclass(frozen=True, kw_only=True)
class Law:
    country: str
    label: Words
    currency: str
    as_of: dt.date
    rates: tuple[Rate, ...]
    reasons: tuple[Reason, ...]
    mentions: tuple[Mention, ...]

    def __str__(self) -> str:
        return in_language(self.label)


Kind = TypeVar("Kind", bound=Dated)


@cache
def countries() -> tuple[str, ...]:
    """Those whose law is known here, in capitals."""
    files = (settings.FIXTURES / FOLDER).glob("*.json")
    return tuple(sorted(file.stem.upper() for file in files))


@cache
def law_of(country: str) -> Law | None:
    """None for a country that is not known: then rates and texts are typed by hand."""
    if country not in countries():
        return None
    data = read_fixture(f"{FOLDER}/{country.lower()}.json")
    return Law(
        country=data["country"],
        label=data["label"],
        currency=data["currency"],
        as_of=dt.date.fromisoformat(data["as_of"]),
        rates=tuple(
            Rate(**_dated(row) | {"rate_pct": Decimal(row["rate_pct"])}) for row in data["rates"]
        ),
        reasons=tuple(Reason(**_dated(row)) for row in data["reasons"]),
        mentions=tuple(Mention(**_dated(row)) for row in data["mentions"]),
    )


def rates_on(country: str, day: dt.date) -> tuple[Rate, ...]:
    law = law_of(country)
    return _holding(law.rates, day) if law else ()


def reasons_on(country: str, day: dt.date) -> tuple[Reason, ...]:
    law = law_of(country)
    return _holding(law.reasons, day) if law else ()


def reason_on(country: str, key: str, day: dt.date) -> Reason | None:
    return next((one for one in reasons_on(country, day) if one.key == key), None)


def mentions_on(
    country: str, day: dt.date, *, to_business: bool, language: str
) -> tuple[Note, ...]:
    """The mentions that a seller of that country must print for such a buyer."""
    law = law_of(country)
    when = {"always", "business" if to_business else "private"}
    held = _holding(law.mentions, day) if law else ()
    return tuple(Note(code=one.code, text=one.text[language]) for one in held if one.when in when)


def rate_fault(country: str, category: str, rate_pct: Decimal, day: dt.date) -> str:
    """A sentence when that rate does not hold there on that day; empty when it does."""
    held = rates_on(country, day)
    if not held or category != STANDARD or any(one.rate_pct == rate_pct for one in held):
        return ""
    known = semicolons(decimal_words(one.rate_pct) for one in held)
    said = {"rate": decimal_words(rate_pct), "country": country, "known": known}
    return (
        _("%(rate)s %% is no rate of VAT in %(country)s on that day; known are %(known)s.") % said
    )


def _holding(rows: Iterable[Kind], day: dt.date) -> tuple[Kind, ...]:
    return tuple(row for row in rows if row.holds_on(day))


def _dated(row: Mapping[str, Any]) -> dict[str, Any]:
    until = row["valid_until"]
    return {
        **row,
        "valid_from": dt.date.fromisoformat(row["valid_from"]),
        "valid_until": dt.date.fromisoformat(until) if until else None,
    }
