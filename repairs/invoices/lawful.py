"""Whether the tax of a line can be lawful for that house and client; and what is to be asked.

Directive 2006/112/EC, all from memory: article 44, work for a business is taxed where the business
is; 54, work on goods for others where it is done; 138, goods sent to a business in another member
state; 146, exports, and work on goods that were imported for it and leave again; 196, reverse
charge; 203 and 289, a small business shows no VAT, and owes what it shows. In France CGI articles
259-1°, 262 I, 262 ter I, 283-2, 283-3, 293 B and 293 E, from memory. A credit note takes the tax
of the invoice that it corrects and is not judged.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.einvoice.document import (
    CATEGORIES,
    EXEMPT,
    EXPORT,
    GOODS,
    OUTSIDE,
    REVERSE,
    STANDARD,
    WITHIN_EU,
    ZERO,
    InvoiceDoc,
)
from repairs.invoices.codes import Category
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.taxing import reasons_of
from repairs.language.text import semicolons
from repairs.law.countries import country_name
from repairs.law.mentions import SMALL_BUSINESS, Reason
from repairs.law.numbers import firm_fault
from repairs.law.rates import rates_on
from repairs.law.territories import eu, territory
from repairs.people.models import Client, House

NORTHERN_IRELAND = "XI"  # goods there follow the EU's rules, work does not
Sort = DraftLine.Sort


@dataclass(frozen=True, kw_only=True)
class Deal:
    """What the law asks of a sale: who sells to whom, and on which day."""

    home: str
    there: str
    pays_vat: bool
    is_business: bool
    vat_id: str
    day: dt.date

    @property
    def is_abroad(self) -> bool:
        return territory(self.there) != territory(self.home)

    @property
    def is_inside(self) -> bool:
        """Whether both are in the EU."""
        return {territory(self.there), territory(self.home)} <= eu()

    @property
    def is_inside_for_goods(self) -> bool:
        return self.is_inside or (
            territory(self.home) in eu() and self.vat_id.startswith(NORTHERN_IRELAND)
        )

    def reason(self, category: str) -> Reason | None:
        """Why that category bears no tax here; the small business's own only for one that is."""
        held = reasons_of(self.home, self.day, pays_vat=self.pays_vat).get(category)
        return None if held and self.pays_vat and held.key == SMALL_BUSINESS else held

    def is_small_business_tax(self, category: str) -> bool:
        held = self.reason(category)
        return not self.pays_vat and held is not None and held.key == SMALL_BUSINESS


def deal_with(house: House, client: Client, day: dt.date) -> Deal:
    return Deal(
        home=house.country,
        there=client.country,
        pays_vat=house.pays_vat,
        is_business=client.is_business,
        vat_id=client.vat_id,
        day=day,
    )


def offered(house: House, client: Client, kept: Collection[str] = ()) -> list[tuple[str, str]]:
    """The taxes that can hold for that house and client, and those that lines bear already."""
    deal = deal_with(house, client, timezone.localdate())
    held = {*_possible(deal), *kept} or {STANDARD}
    return [(one, _plain(deal, one)) for one in CATEGORIES if one in held]


def _possible(deal: Deal) -> list[str]:
    return [category for category in CATEGORIES if not why_not(deal, category)]


def _plain(deal: Deal, category: str) -> str:
    """As the law of the house calls it, else by the name of the code."""
    return str(deal.reason(category) or Category(category).label)


# What cannot be -------------------------------------------------------------------------------


def tax_problems(draft: InvoiceDraft, doc: InvoiceDoc) -> Iterator[str]:
    """Numbers and taxes that cannot be, as sentences."""
    house = House.present()
    yield firm_fault(doc.seller.vat_id, doc.seller.siren)
    yield firm_fault(doc.buyer.vat_id, doc.buyer.siren)
    yield from _of_own_number(doc, may_charge=house.pays_vat or doc.is_credit)
    if not doc.is_credit:
        yield from _of_taxes(deal_with(house, draft.client, doc.issued_on), draft, doc)
    elif doc.categories & {REVERSE, WITHIN_EU} and not doc.buyer.vat_id:
        yield _("Without VAT of ours the client must have a VAT number; it is missing.")


def _of_own_number(doc: InvoiceDoc, *, may_charge: bool) -> Iterator[str]:
    if doc.seller.vat_id:
        return
    if may_charge and any(line.rate_pct for line in doc.lines):
        yield _("VAT is charged, but the workshop’s VAT number is missing.")
    if doc.categories & {REVERSE, WITHIN_EU}:
        # Directive 2006/112/EC, articles 214 and 226, from memory: a small business needs one too.
        yield _("The client accounts for the VAT, but the workshop’s VAT number is missing.")


def _of_taxes(deal: Deal, draft: InvoiceDraft, doc: InvoiceDoc) -> Iterator[str]:
    sorts = _sorts(draft)
    places: dict[str, list[str]] = {}
    for line in doc.lines:
        why = why_not(deal, line.category)
        if why:
            why = f"{why} {_instead(deal)}".strip()
        else:
            why = _wrong_sort(deal, line.category, sorts[line.number], doc.operation)
        if why:
            places.setdefault(why, []).append(line.number)
    for why, numbers in places.items():
        yield _at(numbers, why)
    if OUTSIDE in doc.categories and len(doc.categories) > 1:
        # EN 16931, rules BR-O-11 to BR-O-14.
        words = _("“%(tax)s” stands alone on its invoice: write a second one for the other lines.")
        yield words % {"tax": _plain(deal, OUTSIDE)}


def _sorts(draft: InvoiceDraft) -> dict[str, str]:
    return {str(row.position): row.sort for row in draft.lines.all()}


def _at(numbers: Sequence[str], why: str) -> str:
    words = ngettext("Line %(numbers)s: %(why)s", "Lines %(numbers)s: %(why)s", len(numbers))
    return words % {"numbers": ", ".join(numbers), "why": why}


def _instead(deal: Deal) -> str:
    names = [_plain(deal, category) for category in _possible(deal)]
    return _("Possible for this client: %(taxes)s.") % {"taxes": semicolons(names)} if names else ""


def why_not(deal: Deal, category: str) -> str:
    """Why that tax cannot be between those two; empty when it can."""
    return _reason_against(deal, category) % {
        "tax": _plain(deal, category),
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
    if deal.is_abroad and not deal.is_inside:
        return ""
    if territory(deal.home) in eu():
        return _("“%(tax)s” is for what leaves the EU; this client is in %(there)s.")
    return _("“%(tax)s” is for what leaves the country; this client is in %(there)s.")


def _against_reverse(deal: Deal) -> str:
    return _against_inside(deal, is_inside=deal.is_inside)


def _against_within_eu(deal: Deal) -> str:
    return _against_inside(deal, is_inside=deal.is_inside_for_goods)


def _against_inside(deal: Deal, *, is_inside: bool) -> str:
    if not (is_inside and deal.is_abroad):
        return _(
            "“%(tax)s” is for a business in another country of the EU; this client is in %(there)s."
        )
    if not deal.vat_id:
        return _("“%(tax)s” is for a business with a VAT number, and the client’s is missing.")
    return ""


def _wrong_sort(deal: Deal, category: str, sort: str, operation: str) -> str:
    """Work under a tax for goods, or goods alone under one for work."""
    if category == WITHIN_EU and sort != Sort.MATERIAL:
        return _(
            "“%(tax)s” is for goods; work bears “%(other)s”. If it is a sale of goods, choose "
            "“material” as what it is."
        ) % {"tax": _plain(deal, WITHIN_EU), "other": _plain(deal, REVERSE)}
    other = {REVERSE: WITHIN_EU, OUTSIDE: EXPORT}.get(category, "")
    if other and operation == GOODS and not deal.is_small_business_tax(category):
        return _("“%(tax)s” is for work with its material; goods sold alone bear “%(other)s”.") % {
            "tax": _plain(deal, category),
            "other": _plain(deal, other) if deal.pays_vat else _plain_small(deal),
        }
    return ""


def _plain_small(deal: Deal) -> str:
    """The tax of a small business at home, which its goods bear wherever they go."""
    return _plain(deal, next(filter(deal.is_small_business_tax, CATEGORIES), EXEMPT))


# What is to be asked ----------------------------------------------------------------------------


def remarks_of(draft: InvoiceDraft, doc: InvoiceDoc) -> list[str]:
    """What should be looked at before issuing; it stands in the way of nothing."""
    if doc.is_credit:
        return []
    house = House.present()
    deal = deal_with(house, draft.client, doc.issued_on)
    return [*_of_client(deal, draft.client, doc), *_of_goods(deal, draft, doc)]


def _of_client(deal: Deal, client: Client, doc: InvoiceDoc) -> Iterator[str]:
    taxed = any(line.rate_pct for line in doc.lines)
    said = {"there": country_name(deal.there)}
    if client.is_business and deal.home == deal.there == "FR" and not client.company_number:
        yield _(
            "The client’s company number (SIREN) is missing: invoices between businesses name it."
        )
    own = any(deal.is_small_business_tax(line.category) for line in doc.lines)
    if own and deal.is_abroad and deal.is_inside and client.is_business:
        yield (
            _(
                "This client is a business in %(there)s. Work for it is taxed there, and a small "
                "business, too, bills it under the reverse charge with its VAT number."
            )
            % said
        )
    if not (deal.is_abroad and client.is_business and deal.pays_vat):
        return
    if deal.is_inside and taxed and client.vat_id:
        yield (
            _(
                "VAT is charged to a business in %(there)s that has a VAT number. Work for it "
                "bears the reverse charge; only goods handed over here bear VAT."
            )
            % said
        )
    elif deal.is_inside and taxed:
        yield _(
            "Is this client a business? Its VAT number is missing, so VAT is charged as to a "
            "private person."
        )
    elif not client.has_business_number and taxed:
        yield _(
            "Is this client a business? A proof of it, such as a company number, is missing, so "
            "VAT is charged as to a private person. With a proof, work bears “%(outside)s”; goods "
            "sent there bear “%(export)s”."
        ) % {"outside": _plain(deal, OUTSIDE), "export": _plain(deal, EXPORT)}
    elif not client.has_business_number and OUTSIDE in doc.categories:
        yield (
            _(
                "No VAT is charged because the client is a business or institution in %(there)s: "
                "keep a proof of it with the case."
            )
            % said
        )


def _of_goods(deal: Deal, draft: InvoiceDraft, doc: InvoiceDoc) -> Iterator[str]:
    """Work under export is lawful only for what was imported for it and leaves again; material
    that was built in is a part of the work."""
    sorts = _sorts(draft)
    sent = [line for line in doc.lines if line.category in (EXPORT, WITHIN_EU)]
    if any(why_not(deal, line.category) for line in sent):
        return
    work = [line.number for line in sent if sorts[line.number] != Sort.MATERIAL]
    if work and EXPORT in doc.categories:
        words = _(
            "“%(tax)s” is for goods. Work bears it only when the instrument was imported for this "
            "work and leaves again (directive 2006/112/EC, article 146): keep the customs papers."
        )
        yield _at(work, words % {"tax": _plain(deal, EXPORT)})
    goods = [line for line in sent if line.number not in work]
    if goods and Sort.HOURS in sorts.values() and not work:
        words = _(
            "“%(tax)s” is for goods sold apart. Material that was built in is part of the work and "
            "bears its tax."
        )
        numbers = [line.number for line in goods]
        yield _at(numbers, words % {"tax": _plain(deal, goods[0].category)})
