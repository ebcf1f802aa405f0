"""Who sells to whom, and which taxes can hold between them; what cannot, each with its reason.

Each names the rule that it answers: articles are of directive 2006/112/EC; the CGI as it stands
until the CIBS takes its place on 1 January 2027.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from repairs.einvoice.document import (
    CATEGORIES,
    EXEMPT,
    EXPORT,
    OUTSIDE,
    REVERSE,
    STANDARD,
    WITHIN_EU,
    ZERO,
)
from repairs.invoices.codes import Category
from repairs.invoices.taxing import reasons_of
from repairs.law.countries import country_name
from repairs.law.mentions import SMALL_BUSINESS, Reason
from repairs.law.rates import rates_on
from repairs.law.territories import eu, territory
from repairs.people.house_models import House
from repairs.people.models import Client

NORTHERN_IRELAND = "XI"  # the prefix of its VAT numbers


@dataclass(frozen=True, kw_only=True)
class Deal:
    """What the law asks of a sale: who sells to whom, on which day, and what it says of them."""

    home: str
    there: str
    pays_vat: bool
    is_business: bool
    vat_id: str
    day: dt.date
    reasons: Mapping[str, Reason]  # by category, as the law of the house holds them on that day

    @property
    def is_abroad(self) -> bool:
        """Whether the client is in another tax territory; Monaco, for one, is in that of France."""
        # By territory and not by country code: Monaco is French for VAT, while for goods the
        # mainland treats Guadeloupe, Martinique and La Réunion as abroad (CGI 294).
        return territory(self.there) != territory(self.home)

    @property
    def is_inside(self) -> bool:
        """Whether both are in the EU."""
        return {territory(self.there), territory(self.home)}.issubset(eu())

    @property
    def is_inside_for_goods(self) -> bool:
        """As ``is_inside``, or Northern Ireland, whose goods follow the EU's rules."""
        return self.is_inside or (
            # Only goods: for services Northern Ireland left with the United Kingdom. The client's
            # country says GB for both, so the prefix of the VAT number has to decide.
            territory(self.home) in eu() and self.vat_id.startswith(NORTHERN_IRELAND)
        )

    def reason(self, category: str) -> Reason | None:
        """Why that category bears no tax here; the small business's own only for one that is."""
        held = self.reasons.get(category)
        return None if held and self.pays_vat and held.key == SMALL_BUSINESS else held

    def is_small_business_tax(self, category: str) -> bool:
        """Whether it is what a small business bills under at home."""
        held = self.reason(category)
        return not self.pays_vat and held is not None and held.key == SMALL_BUSINESS


def deal_with(house: House, client: Client, day: dt.date) -> Deal:
    """The sale between those two on that day: of supply, or of a deposit's payment."""
    pays_vat = house.pays_vat_on(day)
    return Deal(
        home=house.country,
        there=client.country,
        pays_vat=pays_vat,
        is_business=client.is_business,
        vat_id=client.vat_id,
        day=day,
        reasons=reasons_of(house.country, day, pays_vat=pays_vat),
    )


def tax_words(deal: Deal, category: str) -> str:
    """As the law of the house calls it, else by the name of the code."""
    return str(deal.reason(category) or Category(category).label)


def possible(deal: Deal) -> list[str]:
    """The categories that can hold between those two."""
    return [category for category in CATEGORIES if not why_not(deal, category)]


def why_not(deal: Deal, category: str) -> str:
    """Why that tax cannot be between those two; empty when it can."""
    return _reason_against(deal, category) % {
        "tax": tax_words(deal, category),
        "home": country_name(deal.home),
        "there": country_name(deal.there),
    }


def _reason_against(deal: Deal, category: str) -> str:
    # Asked first: a small business bears its one tax wherever the client is, for it exports and
    # delivers under the same exemption.
    if deal.is_small_business_tax(category):
        return ""
    if not deal.pays_vat and category not in (EXEMPT, REVERSE, OUTSIDE):
        return _against_small_business(category)
    if category == STANDARD:
        return ""
    if category == ZERO:
        return _against_zero(deal)
    if deal.reason(category) is None:
        return _against_untold(deal, category)
    against: dict[str, Callable[[Deal], str]] = {
        EXEMPT: lambda _deal: "",
        OUTSIDE: _against_outside,
        EXPORT: _against_export,
        REVERSE: _against_reverse,
        WITHIN_EU: _against_within_eu,
    }
    return against[category](deal)


def _against_small_business(category: str) -> str:
    """Article 203, CGI 283-3: VAT that an invoice shows is owed, whoever showed it."""
    if category == STANDARD:
        return _(
            "the workshop is under the small-business exemption and may charge no VAT; what an "
            "invoice shows as VAT is owed all the same (in France CGI art. 293 B, 293 E, 283-3). "
            "If it does charge VAT, say so under “What invoices say of the workshop”."
        )
    return _(
        "“%(tax)s” is for a workshop that charges VAT, and this one is under the small-business "
        "exemption."
    )


def _against_zero(deal: Deal) -> str:
    """A rate of zero is a rate: it can be charged only where the law of the house has one."""
    held = rates_on(deal.home, deal.day)
    # A country without rates here is not known, and nothing is refused of what is not known.
    if not held or any(not one.rate_pct for one in held):
        return ""
    return _("“%(tax)s” cannot be: %(home)s has no VAT rate of zero.")


def _against_untold(deal: Deal, category: str) -> str:
    if deal.pays_vat and category == EXEMPT:
        return _(
            "“%(tax)s” is for a workshop under the small-business exemption, and this one charges "
            "VAT. If it does not, say so under “What invoices say of the workshop”."
        )
    return _("“%(tax)s” needs a legal text on the invoice, and none is held for %(home)s.")


def _against_outside(deal: Deal) -> str:
    """Article 44: work for a business is taxed where that business is, outside the EU not here."""
    if not deal.is_abroad:
        return _("“%(tax)s” is for a business in another country; this client is in %(there)s.")
    if not deal.is_business:
        return _(
            "“%(tax)s” is for a business or institution abroad; for a private person, work is "
            "taxed where it is done."
        )
    if deal.is_inside:
        return _(
            "“%(tax)s” is for a business outside the EU; one in %(there)s accounts for the VAT "
            "itself, under its VAT number."
        )
    return ""


def _against_export(deal: Deal) -> str:
    """Article 146, CGI 262 I: what is sent or carried out of the EU."""
    if deal.is_abroad and not deal.is_inside:
        return ""
    if territory(deal.home) in eu():
        return _("“%(tax)s” is for what leaves the EU; this client is in %(there)s.")
    return _("“%(tax)s” is for what leaves the country; this client is in %(there)s.")


def _against_reverse(deal: Deal) -> str:
    """Articles 44 and 196, CGI 283-2."""
    return _against_inside(deal, is_inside=deal.is_inside)


def _against_within_eu(deal: Deal) -> str:
    """Article 138, CGI 262 ter I."""
    return _against_inside(deal, is_inside=deal.is_inside_for_goods)


def _against_inside(deal: Deal, *, is_inside: bool) -> str:
    if not (is_inside and deal.is_abroad):
        return _(
            "“%(tax)s” is for a business in another country of the EU; this client is in %(there)s."
        )
    if not deal.vat_id:
        return _("“%(tax)s” is for a business with a VAT number, and the client’s is missing.")
    return ""
