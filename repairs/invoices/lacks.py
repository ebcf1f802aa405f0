"""What stands in the way of issuing: data of the house, of the client, days, rates, the case."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.einvoice.document import TRANSFER, InvoiceDoc, Totals
from repairs.einvoice.totals import totals_of
from repairs.invoices.case_checks import case_problems
from repairs.invoices.crediting import require_not_more_than_invoiced
from repairs.invoices.doubts import MOST_DAYS_TO_PAY
from repairs.invoices.facts import Facts
from repairs.invoices.lawful import tax_problems
from repairs.invoices.refusals import DraftIncompleteError, YearClosedError
from repairs.language.refusal import WorkshopError
from repairs.law.numbers import (
    bic_fault,
    country_fault,
    iban_fault,
    siren_fault,
    siret_fault,
    vat_fault,
)
from repairs.law.rates import rate_fault

MOST_DAYS_AHEAD = 31  # sold today, fetched within the month


def require_issuable(facts: Facts, doc: InvoiceDoc) -> Totals:
    """The sums of an invoice that nothing stands in the way of.

    Raises DraftIncompleteError with all that does; and for a credit note that takes too much, or
    has a figure that cannot be, what was raised by itself.
    """
    try:
        totals, problems = _judged(facts, doc)
    except WorkshopError as refusal:
        if doc.is_credit:
            raise
        totals, problems = None, [str(refusal)]
    if totals is None or problems:
        raise DraftIncompleteError(why=" ".join(problems))
    return totals


def problems_of(facts: Facts, doc: InvoiceDoc) -> list[str]:
    """What stands in the way of issuing, as sentences; none when nothing does."""
    try:
        _totals, problems = _judged(facts, doc)
    except WorkshopError as refusal:
        return [str(refusal)]
    return problems


def _judged(facts: Facts, doc: InvoiceDoc) -> tuple[Totals | None, list[str]]:
    if not doc.lines:
        return None, [_("It has no line yet. Add at least one.")]
    totals = totals_of(doc)
    require_not_more_than_invoiced(facts, totals)
    return totals, _problems(facts, doc, totals)


def _problems(facts: Facts, doc: InvoiceDoc, totals: Totals) -> list[str]:
    found = [*_of_seller(doc), *_of_buyer(doc), *_of_lines(facts, doc), *tax_problems(facts, doc)]
    found += [*_of_days(facts, doc), *case_problems(facts, doc, totals.gross)]
    if totals.due < 0:
        found.append(
            _("The deposits are more than the invoice. Leave one out and credit what is too much.")
        )
    if facts.credited is not None and facts.credited.invoice.currency != doc.currency:
        found.append(
            _("The invoice to be credited is in %(theirs)s, but the workshop invoices in %(ours)s.")
            % {"theirs": facts.credited.invoice.currency, "ours": doc.currency}
        )
    return [problem for problem in found if problem]


def house_lacks(doc: InvoiceDoc) -> bool:
    """Whether something of the workshop's own data stands in the way."""
    return any(_of_seller(doc))


def _of_seller(doc: InvoiceDoc) -> Iterator[str]:
    seller = doc.seller
    if not (seller.address and seller.postcode and seller.city):
        yield _("The workshop’s address, postcode or town is missing.")
    # A French business puts its number on every paper (C. com. R123-237, recalled, not verified);
    # elsewhere it is a custom.
    if not (seller.siren or seller.registration or seller.country != "FR"):
        yield _("The workshop’s company number is missing.")
    if doc.payment_means == TRANSFER and not doc.is_credit and not seller.iban:
        yield _("It is to be paid by transfer, but the workshop’s IBAN is missing.")
    yield country_fault(seller.country)
    yield iban_fault(seller.iban)
    yield bic_fault(seller.bic)
    yield siren_fault(seller.siren)
    yield siret_fault(seller.siret, seller.siren)
    yield vat_fault(seller.vat_id, seller.country)


def _of_buyer(doc: InvoiceDoc) -> Iterator[str]:
    buyer = doc.buyer
    if not buyer.country:
        yield _("The client’s country is missing.")
        return
    yield country_fault(buyer.country)
    if not (buyer.address or buyer.city):
        yield _("The client’s address is missing.")
    yield siren_fault(buyer.siren)
    yield siret_fault(buyer.siret, buyer.siren)
    yield vat_fault(buyer.vat_id, buyer.country)


def _of_days(facts: Facts, doc: InvoiceDoc) -> Iterator[str]:
    if facts.is_closed:
        yield str(YearClosedError(year=doc.issued_on.year))
    if doc.is_credit:
        return
    if doc.paid_on and doc.paid_on > doc.issued_on:
        yield _(
            "“Paid on” is %(day)s, which is to come. Leave it empty until the deposit is paid."
        ) % {"day": date_format(doc.paid_on, "DATE_FORMAT")}
    last = doc.issued_on + dt.timedelta(days=MOST_DAYS_AHEAD)
    if doc.delivery_on and doc.delivery_on > last:
        yield _(
            "“Done or delivered on” is %(day)s, which is far ahead. An invoice is for what was "
            "done; to be paid before, draft a deposit invoice."
        ) % {"day": date_format(doc.delivery_on, "DATE_FORMAT")}
    # Refused between businesses, where the law fines it; of a private client it is only asked about
    # (see ``doubts``).
    if facts.draft.payment_days > MOST_DAYS_TO_PAY and doc.buyer.is_business:
        yield _(
            "It gives %(days)s days to pay, but the law allows businesses %(most)s at most from "
            "the day of the invoice. Lower “days to pay”."
        ) % {"days": facts.draft.payment_days, "most": MOST_DAYS_TO_PAY}


def _of_lines(facts: Facts, doc: InvoiceDoc) -> Iterator[str]:
    """A rate that the law of the house's country does not know on the day that counts; not for
    credit notes, whose rates are those of the invoice that they correct."""
    if not doc.is_credit:
        for rate_pct in dict.fromkeys(line.rate_pct for line in doc.lines if line.rate_pct):
            yield rate_fault(doc.seller.country, rate_pct, facts.tax_day)
