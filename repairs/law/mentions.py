"""Reasons for charging no VAT, and mentions of late payment, by country and day.

They are data in ``fixtures/tax``, beside the rates (``law.rates``), each with the day from
which it holds and where it was had. Most are recalled, not read in a law book: ``CONFIRM``
is shown wherever they are offered.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cache

from django.utils.translation import gettext, gettext_lazy

from repairs.language.text import in_language
from repairs.law.rates import Dated, Words, dated, holding, law_data

CONFIRM = gettext_lazy(
    "Rates and legal texts are a help, not advice: have your accountant confirm them."
)
SMALL_BUSINESS, REVERSE_CHARGE, WITHIN_EU, EXPORT, OUTSIDE = (
    "small_business",
    "reverse_charge",
    "within_eu",
    "export",
    "outside",
)


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


@dataclass(frozen=True, kw_only=True)
class Mention(Dated):
    """A text that must stand on an invoice; ``when`` is business, private or always."""

    code: str
    when: str
    text: Words


@dataclass(frozen=True, kw_only=True)
class Law:
    """What is known of one country: its reasons and mentions, as they were known on ``as_of``."""

    country: str
    label: Words
    currency: str
    as_of: dt.date
    reasons: tuple[Reason, ...]
    mentions: tuple[Mention, ...]

    def __str__(self) -> str:
        return in_language(self.label)


@cache
def law_of(country: str) -> Law | None:
    """None for a country that is not known: then rates and texts are typed by hand."""
    data = law_data(country)
    if data is None:
        return None
    return Law(
        country=data["country"],
        label=data["label"],
        currency=data["currency"],
        as_of=dt.date.fromisoformat(data["as_of"]),
        reasons=tuple(Reason(**dated(row)) for row in data["reasons"]),
        mentions=tuple(Mention(**dated(row)) for row in data["mentions"]),
    )


def reasons_on(country: str, day: dt.date) -> tuple[Reason, ...]:
    """The reasons for charging no VAT that hold there on that day; none for an unknown country."""
    law = law_of(country)
    return holding(law.reasons, day) if law else ()


def reason_on(country: str, key: str, day: dt.date) -> Reason | None:
    """The reason of that key that holds there on that day; None when there is none."""
    return next((one for one in reasons_on(country, day) if one.key == key), None)


def debits_words() -> str:
    """CGI annexe II, article 242 nonies A I-11° bis, which décret 2022-1299 brought in.

    Read as quoted by others. It binds small firms from 1 Sep 2027; many pages name earlier days.
    """
    return gettext("Option to pay the tax on debits, that is on the day of issue")


def mentions_on(country: str, day: dt.date, *, to_business: bool) -> tuple[Mention, ...]:
    """The mentions that a seller of that country must print for such a buyer."""
    law = law_of(country)
    when = {"always", "business" if to_business else "private"}
    held = holding(law.mentions, day) if law else ()
    return tuple(one for one in held if one.when in when)
