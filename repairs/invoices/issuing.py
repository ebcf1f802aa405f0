"""Issue a draft: number, e-invoice, paper and books together, or nothing at all.

The lock of the series is held over proposal, print and validation, none of which touches the
database; the transaction opens only for the last check and the insert. Whatever stops before it,
a broken rule, a full disk or a killed process, uses no number.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from repairs.audit.actions import record
from repairs.audit.level import require_level
from repairs.einvoice.check.pdf import pdf_faults
from repairs.einvoice.check.validate import build_checked
from repairs.einvoice.document import InvoiceDoc, TaxGroup, Totals
from repairs.einvoice.refusals import InvoiceRulesError
from repairs.einvoice.write.embed import with_einvoice
from repairs.invoices.actions import locked
from repairs.invoices.case_checks import above_agreed
from repairs.invoices.codes import Kind
from repairs.invoices.compile import invoice_sheet
from repairs.invoices.crediting import require_creditable, require_not_more_than_invoiced
from repairs.invoices.deposits import hold_deposits
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.facts import Facts, InvoiceLeft
from repairs.invoices.gathering import facts_of
from repairs.invoices.lacks import require_issuable
from repairs.invoices.models import Deduction, Invoice, TaxRow
from repairs.invoices.paper_kinds import CREDIT_NOTE, INVOICE
from repairs.invoices.refusals import DraftChangedError
from repairs.invoices.series import Place, alone, propose, take
from repairs.invoices.set_off import set_off
from repairs.invoices.years import require_open
from repairs.people.house_models import House
from repairs.people.models import User
from repairs.press.actions import issue, propose_seal
from repairs.press.document import canonical, plain
from repairs.press.models import Paper
from repairs.storage import files as store

Clock = Callable[[], dt.datetime]
NO_DAY = dt.date(1, 1, 1)


@dataclass(frozen=True)
class _Proof:
    """All that is to be kept, made before the transaction opens."""

    facts: Facts
    place: Place
    doc: InvoiceDoc
    totals: Totals
    xml: bytes
    xml_name: str
    at: dt.datetime


def prefix_of(kind: str) -> str:
    """The series in which a paper of that kind is numbered: credit notes have one of their own."""
    house = House.present()
    return house.credit_prefix if kind == Kind.CREDIT else house.invoice_prefix


def fingerprint(doc: InvoiceDoc) -> str:
    """SHA-256 of what the invoice says, without its number and its day: equal means same."""
    # The number and the day are not known while the preview is read; the due day follows from them.
    said = dataclasses.replace(doc, number="", issued_on=NO_DAY, due_on=None)
    return hashlib.sha256(canonical(plain(said))).hexdigest()


def proposed(facts: Facts, at: dt.datetime) -> InvoiceDoc:
    """The invoice as it would be issued now, for the preview; the number binds nobody.

    Raises ClockSetBackError.
    """
    return document_of(facts, number=propose(prefix_of(facts.draft.kind), at).number)


def issue_invoice(draft: InvoiceDraft, *, shown: str, by: User, clock: Clock) -> Invoice:
    """Issue exactly what was shown, under the next number of its series.

    The clock is asked only once the series is held, so that numbers follow the time of issue.
    Raises DraftChangedError when the invoice is no longer what ``shown`` is the fingerprint of,
    DraftIncompleteError, CreditTooLargeError, ClockSetBackError, YearClosedError,
    BehindMarksError, and InvoiceRulesError when the e-invoice breaks a rule.
    """
    require_level()
    prefix = prefix_of(draft.kind)
    # The clock comes after the lock: two people who press at once would otherwise be numbered
    # against the order of their times.
    with alone(prefix):
        at = clock()
        place = propose(prefix, at)
        proof = _prove(facts_of(draft, at), place, at, shown)
        doc = proof.doc
        seal = propose_seal(_paper_kind(doc), f"invoice:{place.number}", by=by, at=at)
        sheet = with_einvoice(invoice_sheet(doc, made_at=at, seal=seal), proof.xml)
        keep, look = partial(_keep, proof, by), partial(_require_sound, proof.xml)
        paper = issue(sheet, by=by, check=look, also=keep)
        return paper.invoice


def _paper_kind(doc: InvoiceDoc) -> str:
    return CREDIT_NOTE if doc.is_credit else INVOICE


def _prove(facts: Facts, place: Place, at: dt.datetime, shown: str) -> _Proof:
    """Write the e-invoice and hold it against all rules, before its number is anything."""
    doc = document_of(facts, number=place.number)
    # What the person read is what is issued. A price, an address or a rate may have been changed in
    # another window between the preview and the press.
    if fingerprint(doc) != shown:
        raise DraftChangedError
    totals = require_issuable(facts, doc)
    xml = build_checked(doc).xml
    _digest, name = store.keep(xml, "invoices", ".xml")
    return _Proof(facts, place, doc, totals, xml, name, at)


def _require_sound(xml: bytes, pdf: bytes) -> None:
    """The last look at the PDF. Raises InvoiceRulesError when it is not what it claims."""
    if found := pdf_faults(pdf, xml):
        raise InvoiceRulesError(why="; ".join(found))


def _keep(proof: _Proof, by: User, paper: Paper) -> None:
    """Inside the transaction of the paper: look once more, then write."""
    now = _look_again(proof)
    invoice = _written(proof, by, paper)
    rows = [*_tax_rows(invoice, proof.totals), *_deducted_rows(invoice, now.deposits)]
    TaxRow.objects.bulk_create(rows)
    for one in now.deposits:
        Deduction.objects.create(deposit=one.invoice, invoice=invoice, amount=one.gross)
    # At once, in the same transaction: an invoice and its credit note both open would be reminded
    # of in full.
    if invoice.credits is not None:
        set_off(invoice.credits, invoice.issued_on, by=by, at=proof.at)
    said: dict[str, Any] = {"kind": invoice.kind, "draft": now.draft.pk}
    if above := above_agreed(now, proof.totals.gross):
        said["above"] = str(above)
    record(by, "invoice.issued", invoice, at=proof.at, **said)


def _look_again(proof: _Proof) -> Facts:
    """Hold all that the invoice rests on, see that it is still so, and return the facts anew."""
    draft = proof.facts.draft
    # Seconds of printing lie between the proof and this line, and the draft was open to all
    # meanwhile. Draft, year, invoice, deposits: always in this order, as two that issue at once
    # would otherwise wait for one another.
    if locked(draft).revision != draft.revision:
        raise DraftChangedError
    require_open(proof.doc.issued_on)
    if draft.credits is not None:
        require_creditable(Invoice.objects.select_for_update().get(pk=draft.credits.pk))
    hold_deposits(draft)
    now = facts_of(draft, proof.at)
    require_not_more_than_invoiced(now, proof.totals)
    # A deposit that was credited meanwhile would be deducted although it is not owed any more.
    if now.prepaid != proof.totals.prepaid:
        raise DraftChangedError
    return now


def _written(proof: _Proof, by: User, paper: Paper) -> Invoice:
    draft, totals, doc = proof.facts.draft, proof.totals, proof.doc
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
    # A credit note is positive on paper (EN 16931, type 381) and negative in the books.
    sign = -1 if invoice.is_credit else 1
    for group in totals.groups:
        yield _row(invoice, part, group, sign)


def _deducted_rows(invoice: Invoice, deposits: Iterable[InvoiceLeft]) -> Iterator[TaxRow]:
    """The VAT of a deposit was invoiced already: it comes off, so that none is paid twice."""
    for deposit in deposits:
        for group in deposit.groups:
            # By each rate of its own: a deposit of the year before may bear another rate than the
            # balance, and keeps it (French practice of 1 January 2014, by a secondary source;
            # directive 2006/112, article 93, recalled, not verified).
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
