"""Issue a draft: number, e-invoice, paper and books together, or nothing at all.

The lock of the series is held over proposal, print and validation, none of which touches the
database; the transaction opens only for the last check and the insert. Whatever stops before it,
a broken rule, a full disk or a killed process, uses no number.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from repairs.audit.actions import record
from repairs.einvoice.check.pdf import pdf_faults
from repairs.einvoice.check.validate import build_checked
from repairs.einvoice.document import InvoiceDoc, TaxGroup, Totals
from repairs.einvoice.refusals import InvoiceRulesError
from repairs.einvoice.totals import totals_of
from repairs.einvoice.write.embed import with_einvoice
from repairs.invoices.actions import locked
from repairs.invoices.case_checks import above_agreed
from repairs.invoices.codes import Kind
from repairs.invoices.compile import invoice_sheet
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.lacks import problems_of
from repairs.invoices.models import Deduction, Invoice, TaxRow
from repairs.invoices.paper_kinds import CREDIT_NOTE, INVOICE
from repairs.invoices.refusals import DraftChangedError, DraftIncompleteError
from repairs.invoices.remaining import (
    check_deductions,
    gross_left,
    groups_left,
    require_creditable,
    require_not_more_than_invoiced,
)
from repairs.invoices.series import Place, alone, propose, take
from repairs.invoices.set_off import set_off
from repairs.invoices.years import require_open
from repairs.money import total
from repairs.people.models import House, User
from repairs.press.actions import issue, propose_seal
from repairs.press.document import canonical, plain
from repairs.press.models import Paper
from repairs.storage import files as store

Clock = Callable[[], dt.datetime]
NO_DAY = dt.date(1, 1, 1)


@dataclass(frozen=True)
class _Proof:
    """All that is to be kept, made before the transaction opens."""

    place: Place
    doc: InvoiceDoc
    totals: Totals
    xml: bytes
    xml_name: str
    at: dt.datetime


def prefix_of(kind: str) -> str:
    house = House.present()
    return house.credit_prefix if kind == Kind.CREDIT else house.invoice_prefix


def fingerprint(doc: InvoiceDoc) -> str:
    """SHA-256 of what the invoice says, without its number and its day: equal means same."""
    said = dataclasses.replace(doc, number="", issued_on=NO_DAY, due_on=None)
    return hashlib.sha256(canonical(plain(said))).hexdigest()


def proposed(draft: InvoiceDraft, at: dt.datetime) -> InvoiceDoc:
    """The invoice as it would be issued now, for the preview; the number binds nobody."""
    return document_of(draft, number=propose(prefix_of(draft.kind), at).number, at=at)


def issue_invoice(draft: InvoiceDraft, *, shown: str, by: User, clock: Clock) -> Invoice:
    """Issue exactly what was shown, under the next number of its series.

    The clock is asked only once the series is held, so that numbers follow the time of issue.
    Raises DraftChangedError when the invoice is no longer what ``shown`` is the fingerprint of,
    DraftIncompleteError, CreditTooLargeError, ClockSetBackError, YearClosedError, and
    InvoiceRulesError when the e-invoice breaks a rule.
    """
    prefix = prefix_of(draft.kind)
    with alone(prefix):
        at = clock()
        place = propose(prefix, at)
        doc = document_of(draft, number=place.number, at=at)
        _check(draft, doc, shown)
        proof = _prove(place, doc, at)
        seal = propose_seal(_paper_kind(doc), f"invoice:{place.number}", by=by, at=at)
        sheet = with_einvoice(invoice_sheet(doc, made_at=at, seal=seal), proof.xml)
        keep, look = partial(_keep, draft, proof, by), partial(_require_sound, proof.xml)
        paper = issue(sheet, by=by, check=look, also=keep)
        return paper.invoice


def _paper_kind(doc: InvoiceDoc) -> str:
    return CREDIT_NOTE if doc.is_credit else INVOICE


def _check(draft: InvoiceDraft, doc: InvoiceDoc, shown: str) -> None:
    if fingerprint(doc) != shown:
        raise DraftChangedError
    if draft.is_credit and doc.lines:
        require_not_more_than_invoiced(draft, totals_of(doc))
    if problems := problems_of(draft, doc):
        raise DraftIncompleteError(why=" ".join(problems))


def _prove(place: Place, doc: InvoiceDoc, at: dt.datetime) -> _Proof:
    """Write the e-invoice and hold it against all rules, before its number is anything."""
    xml = build_checked(doc).xml
    _digest, name = store.keep(xml, "invoices", ".xml")
    return _Proof(place, doc, totals_of(doc), xml, name, at)


def _require_sound(xml: bytes, pdf: bytes) -> None:
    """The last look at the PDF. Raises InvoiceRulesError when it is not what it claims."""
    if found := pdf_faults(pdf, xml):
        raise InvoiceRulesError(why="; ".join(found))


def _keep(draft: InvoiceDraft, proof: _Proof, by: User, paper: Paper) -> None:
    """Inside the transaction of the paper: look once more, then write."""
    deposits, above = _look_again(draft, proof), above_agreed(draft, proof.totals.gross)
    invoice = _written(draft, proof, by, paper)
    rows = [*_tax_rows(invoice, proof.totals), *_deducted_rows(invoice, deposits)]
    TaxRow.objects.bulk_create(rows)
    for deposit in deposits:
        amount = gross_left(deposit)
        Deduction.objects.create(deposit=deposit, invoice=invoice, amount=amount)
    if invoice.credits is not None:
        set_off(invoice.credits, invoice.issued_on, by=by, at=proof.at)
    said: dict[str, Any] = {"kind": invoice.kind, "draft": draft.pk}
    if above:
        said["above"] = str(above)
    record(by, "invoice.issued", invoice, at=proof.at, **said)


def _look_again(draft: InvoiceDraft, proof: _Proof) -> list[Invoice]:
    """Hold all that the invoice rests on, and see that it is still so; return its deposits."""
    if locked(draft).revision != draft.revision:
        raise DraftChangedError
    require_open(proof.doc.issued_on)
    if draft.credits is not None:
        require_creditable(Invoice.objects.select_for_update().get(pk=draft.credits.pk))
        require_not_more_than_invoiced(draft, proof.totals)
    deposits = check_deductions(draft)
    if total(gross_left(deposit) for deposit in deposits) != proof.totals.prepaid:
        raise DraftChangedError
    return deposits


def _written(draft: InvoiceDraft, proof: _Proof, by: User, paper: Paper) -> Invoice:
    totals, doc = proof.totals, proof.doc
    return Invoice.objects.create(
        number=doc.number,
        kind=doc.kind,
        series=take(proof.place, proof.at),
        sequence=proof.place.sequence,
        draft=draft,
        client=draft.client,
        case=draft.case,
        credits=draft.credits,
        currency=doc.currency,
        issued_on=doc.issued_on,
        due_on=doc.due_on or doc.issued_on,
        net=totals.net,
        vat=totals.vat,
        gross=totals.gross,
        prepaid=totals.prepaid,
        due=totals.due,
        content=plain(doc),
        xml_name=proof.xml_name,
        xml_sha256=hashlib.sha256(proof.xml).hexdigest(),
        paper=paper,
        issued_at=proof.at,
        issued_by=by,
    )


def _tax_rows(invoice: Invoice, totals: Totals) -> Iterator[TaxRow]:
    """A credit note takes away from what its invoice added."""
    about = invoice.credits or invoice
    part = TaxRow.Part.DEPOSIT if about.kind == Kind.DEPOSIT else TaxRow.Part.SALE
    sign = -1 if invoice.is_credit else 1
    for group in totals.groups:
        yield _row(invoice, part, group, sign)


def _deducted_rows(invoice: Invoice, deposits: list[Invoice]) -> Iterator[TaxRow]:
    """The VAT of a deposit was invoiced already: it comes off, so that none is paid twice."""
    for deposit in deposits:
        for group in groups_left(deposit):
            yield _row(invoice, TaxRow.Part.DEDUCTION, group, -1)


def _row(invoice: Invoice, part: str, group: TaxGroup, sign: int) -> TaxRow:
    return TaxRow(
        invoice=invoice,
        part=part,
        category=group.category,
        rate_pct=group.rate_pct,
        base=sign * group.base,
        tax=sign * group.tax,
    )
