"""Why a category of tax cannot be between a house and a client, each with its reason.

Each names the rule that it answers: articles are of directive 2006/112/EC; the CGI as it stands
until the CIBS takes its place on 1 January 2027.
"""

from __future__ import annotations

from collections.abc import Callable

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
from repairs.invoices.deals import Deal, tax_words
from repairs.law.countries import country_name
from repairs.law.rates import rates_on
from repairs.law.territories import eu, territory


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
