"""Whether the taxes of a draft can be lawful for that house and client; what cannot be is refused.

Directive 2006/112/EC: article 44, work for a business is taxed where the business is; 54, work on
goods for others where it is done (in France CGI 259-1° and 259 A-6°); 138, goods sent to a business
in another member state (CGI 262 ter I); 146, exports, and work on goods that were imported for it
and leave again (CGI 262 I); 196, reverse charge (CGI 283-2); 203 and 289, a small business shows no
VAT, and owes what it shows (CGI 293 B, 293 E, 283-3). A credit note takes the tax of the invoice
that it corrects and is not judged.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator, Mapping, Sequence

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
    InvoiceDoc,
)
from repairs.invoices.deals import Deal, deal_with, possible, tax_words, why_not
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.facts import Facts
from repairs.language.text import semicolons
from repairs.law.numbers import firm_fault
from repairs.people.house_models import House
from repairs.people.models import Client

Sort = DraftLine.Sort


def offered(
    house: House, client: Client, day: dt.date, kept: Collection[str] = ()
) -> list[tuple[str, str]]:
    """The taxes that can hold for that house and client on that day, and those that lines bear
    already."""
    deal = deal_with(house, client, day)
    held = {*possible(deal), *kept} or {STANDARD}
    return [(one, tax_words(deal, one)) for one in CATEGORIES if one in held]


def tax_problems(facts: Facts, doc: InvoiceDoc) -> Iterator[str]:
    """Numbers and taxes that cannot be, as sentences; an empty one says nothing."""
    yield firm_fault(doc.seller.vat_id, doc.seller.siren)
    yield firm_fault(doc.buyer.vat_id, doc.buyer.siren)
    yield from _of_own_number(doc, may_charge=facts.deal.pays_vat or doc.is_credit)
    if not doc.is_credit:
        # A credit note follows the supply that it corrects, under the law of that day: it is never
        # judged by today's.
        yield from _of_taxes(facts.deal, facts.sorts, doc)
    elif doc.categories & {REVERSE, WITHIN_EU} and not doc.buyer.vat_id:
        yield _("Without VAT of ours the client must have a VAT number; it is missing.")


def _of_own_number(doc: InvoiceDoc, *, may_charge: bool) -> Iterator[str]:
    if doc.seller.vat_id:
        return
    if may_charge and any(line.rate_pct for line in doc.lines):
        yield _("VAT is charged, but the workshop’s VAT number is missing.")
    if doc.categories & {REVERSE, WITHIN_EU}:
        # Directive 2006/112/EC, articles 214 and 226: a small business needs one too.
        yield _("The client accounts for the VAT, but the workshop’s VAT number is missing.")


def _of_taxes(deal: Deal, sorts: Mapping[str, str], doc: InvoiceDoc) -> Iterator[str]:
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
        yield lines_at(numbers, why)
    if OUTSIDE in doc.categories and len(doc.categories) > 1:
        # EN 16931, rules BR-O-11 to BR-O-14.
        words = _("“%(tax)s” stands alone on its invoice: write a second one for the other lines.")
        yield words % {"tax": tax_words(deal, OUTSIDE)}


def lines_at(numbers: Sequence[str], why: str) -> str:
    """What is said of those lines, with their numbers before it."""
    words = ngettext("Line %(numbers)s: %(why)s", "Lines %(numbers)s: %(why)s", len(numbers))
    return words % {"numbers": ", ".join(numbers), "why": why}


def _instead(deal: Deal) -> str:
    names = [tax_words(deal, category) for category in possible(deal)]
    return _("Possible for this client: %(taxes)s.") % {"taxes": semicolons(names)} if names else ""


def _wrong_sort(deal: Deal, category: str, sort: str, operation: str) -> str:
    """Work under a tax for goods, or goods alone under one for work."""
    # Article 138 exempts goods that travel; work on a thing is taxed where its owner is established
    # (article 44), and would come off the wrong line of the client's return.
    if category == WITHIN_EU and sort != Sort.MATERIAL:
        return _(
            "“%(tax)s” is for goods; work bears “%(other)s”. If it is a sale of goods, choose "
            "“material” as what it is."
        ) % {"tax": tax_words(deal, WITHIN_EU), "other": tax_words(deal, REVERSE)}
    other = {REVERSE: WITHIN_EU, OUTSIDE: EXPORT}.get(category, "")
    if other and operation == GOODS and not deal.is_small_business_tax(category):
        return _("“%(tax)s” is for work with its material; goods sold alone bear “%(other)s”.") % {
            "tax": tax_words(deal, category),
            "other": tax_words(deal, other) if deal.pays_vat else _plain_small(deal),
        }
    return ""


def _plain_small(deal: Deal) -> str:
    """The tax of a small business at home, which its goods bear wherever they go."""
    return tax_words(deal, next(filter(deal.is_small_business_tax, CATEGORIES), EXEMPT))
