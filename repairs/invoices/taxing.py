"""Which tax a line usually bears: from the house's regime, and where and what the client is.

A proposal, shown for correction; no advice. Work on an instrument is a service: between
businesses it is taxed where the client is, for a private person where it is done (directive
2006/112/EC, articles 44 and 54; CGI 259-1° and 259 A-6°). That the client is a business must be
shown: inside the EU by a VAT number, outside by another proof (regulation (EU) 282/2011, article
18).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from repairs.einvoice.document import EXEMPT, OUTSIDE, REVERSE, STANDARD, ZERO
from repairs.law.mentions import SMALL_BUSINESS, Reason, reason_on, reasons_on
from repairs.law.rates import same_rate_on
from repairs.law.territories import eu, territory
from repairs.people.house_models import House
from repairs.people.models import Client


@dataclass(frozen=True)
class Tax:
    """A category of UNTDID 5305 and its rate in per cent."""

    category: str
    rate_pct: Decimal


def tax_of(house: House, client: Client, day: dt.date | None = None) -> Tax:
    """The usual tax of work for that client that is done on that day; without one, today."""
    day = day or timezone.localdate()
    if not house.pays_vat_on(day):
        reason = reason_on(house.country, SMALL_BUSINESS, day)
        return Tax(reason.category if reason else EXEMPT, Decimal(0))
    home, there = territory(house.country), territory(client.country)
    inside = {home, there}.issubset(eu())
    is_shown = bool(client.vat_id) if inside else client.has_business_number
    if there == home or not is_shown:
        rate = same_rate_on(house.country, house.default_rate_pct, day)
        return Tax(STANDARD if rate else ZERO, rate)
    return Tax(REVERSE if inside else OUTSIDE, Decimal(0))


def reasons_of(country: str, day: dt.date, *, pays_vat: bool) -> dict[str, Reason]:
    """The reason for each category without tax: a house that pays VAT is no small business, and
    its own reason comes first for one that is."""
    rows = sorted(reasons_on(country, day), key=lambda one: (one.key == SMALL_BUSINESS) == pays_vat)
    return {reason.category: reason for reason in reversed(rows)}
