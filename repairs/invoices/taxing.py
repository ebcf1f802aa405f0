"""Which tax a line usually bears: from the house's regime, and where and what the client is.

A proposal, shown for correction; no advice. Work on an instrument is a service: between
businesses it is taxed where the client is, for a private person where it is done (directive
2006/112/EC, articles 44 and 54, from memory).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from repairs.instruments.kinds import read_fixture
from repairs.invoices.document import EXEMPT, OUTSIDE, REVERSE, STANDARD, ZERO, Exemption
from repairs.invoices.taxes import reasons_on
from repairs.people.models import Client, House


@dataclass(frozen=True)
class Tax:
    category: str
    rate_pct: Decimal


@cache
def eu() -> frozenset[str]:
    return frozenset(read_fixture("books/countries.json")["eu"])


def tax_of(house: House, client: Client) -> Tax:
    """The usual tax of work for that client."""
    if not house.pays_vat:
        return Tax(EXEMPT, Decimal(0))
    if client.country == house.country or not client.is_business:
        rate = house.default_rate_pct
        return Tax(STANDARD if rate else ZERO, rate)
    inside = {client.country, house.country} <= eu() and bool(client.vat_id)
    return Tax(REVERSE if inside else OUTSIDE, Decimal(0))


def exemptions_of(
    country: str, categories: frozenset[str], day: dt.date, language: str
) -> tuple[Exemption, ...]:
    """The reason of each category that bears no tax, as the seller's law words it."""
    held = {reason.category: reason for reason in reversed(reasons_on(country, day))}
    return tuple(
        held[category].exemption(language) for category in sorted(categories) if category in held
    )
