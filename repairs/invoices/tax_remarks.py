"""What is to be asked of the taxes of a draft before it is issued; it stops nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _

from repairs.einvoice.document import EXPORT, OUTSIDE, WITHIN_EU, InvoiceDoc
from repairs.invoices.deals import Deal, tax_words, why_not
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.facts import Facts
from repairs.invoices.lawful import lines_at
from repairs.law.countries import country_name
from repairs.people.models import Client

Sort = DraftLine.Sort


def remarks_of(facts: Facts, doc: InvoiceDoc) -> list[str]:
    """What should be looked at before issuing, a sentence each; nothing of a credit note."""
    if doc.is_credit:
        return []
    client, deal = facts.client, facts.deal
    return [
        *_of_client(deal, client, doc),
        *_of_charged_abroad(deal, client, doc),
        *_of_proof(deal, client, doc),
        *_of_goods(deal, facts.sorts, doc),
    ]


def _of_client(deal: Deal, client: Client, doc: InvoiceDoc) -> Iterator[str]:
    """A business whose number is missing, or that a small business bills as if it were at home."""
    if client.is_business and deal.home == deal.there == "FR" and not client.company_number:
        yield _(
            "The client’s company number (SIREN) is missing: invoices between businesses name it."
        )
    own = any(deal.is_small_business_tax(line.category) for line in doc.lines)
    if own and deal.is_abroad and deal.is_inside and client.is_business:
        # Directive 2006/112/EC, articles 44, 196 and 214: the exemption ends at the border.
        yield _(
            "This client is a business in %(there)s. Work for it is taxed there, and a small "
            "business, too, bills it under the reverse charge with its VAT number."
        ) % {"there": country_name(deal.there)}


def _of_charged_abroad(deal: Deal, client: Client, doc: InvoiceDoc) -> Iterator[str]:
    """VAT on an invoice to a business elsewhere in the EU, by a house that pays VAT."""
    if not (_is_firm_abroad(deal, client) and deal.is_inside and _is_taxed(doc)):
        return
    if client.vat_id:
        yield _(
            "VAT is charged to a business in %(there)s that has a VAT number. Work for it "
            "bears the reverse charge; only goods handed over here bear VAT."
        ) % {"there": country_name(deal.there)}
    else:
        yield _(
            "Is this client a business? Its VAT number is missing, so VAT is charged as to a "
            "private person."
        )


def _of_proof(deal: Deal, client: Client, doc: InvoiceDoc) -> Iterator[str]:
    """A business outside the EU shows by a number or another proof that it is one (regulation (EU)
    282/2011, article 18); without it the work is taxed here."""
    if not _is_firm_abroad(deal, client) or client.has_business_number:
        return
    is_taxed = _is_taxed(doc)
    if is_taxed and not deal.is_inside:
        yield _(
            "Is this client a business? A proof of it, such as a company number, is missing, so "
            "VAT is charged as to a private person. With a proof, work bears “%(outside)s”; goods "
            "sent there bear “%(export)s”."
        ) % {"outside": tax_words(deal, OUTSIDE), "export": tax_words(deal, EXPORT)}
    elif OUTSIDE in doc.categories and not is_taxed:
        yield _(
            "No VAT is charged because the client is a business or institution in %(there)s: "
            "keep a proof of it with the case."
        ) % {"there": country_name(deal.there)}


def _is_firm_abroad(deal: Deal, client: Client) -> bool:
    return deal.is_abroad and client.is_business and deal.pays_vat


def _is_taxed(doc: InvoiceDoc) -> bool:
    return any(line.rate_pct for line in doc.lines)


def _of_goods(deal: Deal, sorts: Mapping[str, str], doc: InvoiceDoc) -> Iterator[str]:
    """Work under export is lawful only for what was imported for it and leaves again; material
    that was built in is a part of the work."""
    sent = [line for line in doc.lines if line.category in (EXPORT, WITHIN_EU)]
    if any(why_not(deal, line.category) for line in sent):
        return
    work = [line.number for line in sent if sorts[line.number] != Sort.MATERIAL]
    if work and EXPORT in doc.categories:
        words = _(
            "“%(tax)s” is for goods. Work bears it only when the instrument was imported for this "
            "work and leaves again (directive 2006/112/EC, article 146): keep the customs papers."
        )
        yield lines_at(work, words % {"tax": tax_words(deal, EXPORT)})
    goods = [line for line in sent if line.number not in work]
    if goods and Sort.HOURS in sorts.values() and not work:
        words = _(
            "“%(tax)s” is for goods sold apart. Material that was built in is part of the work and "
            "bears its tax."
        )
        numbers = [line.number for line in goods]
        yield lines_at(numbers, words % {"tax": tax_words(deal, goods[0].category)})
