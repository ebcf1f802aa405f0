"""From an invoice's frozen data to the paper that a person reads; every word is in the sheet."""

from __future__ import annotations

import dataclasses
import datetime as dt

from django.utils import translation
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from repairs.einvoice.document import (
    INVOICE,
    OF_PAYING,
    TRANSFER,
    Deposit,
    InvoiceDoc,
    Note,
    Party,
    Totals,
)
from repairs.einvoice.totals import totals_of
from repairs.invoices import paper_kinds
from repairs.invoices.codes import Kind, Means, Operation
from repairs.invoices.paper import InvoicePaper, LabelledRow, paper_line, taken_off, tax_row
from repairs.language.text import labelled
from repairs.law.countries import country_name
from repairs.money import money_words
from repairs.people.block import house_block
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.people.sole_trader import sole_trader_remark, with_form
from repairs.press.document import HouseBlock, Seal, Sheet

Row = LabelledRow  # the papers of payments are made of the same


def day_words(day: dt.date | None) -> str:
    """A day as a paper says it; empty when there is none."""
    return str(date_format(day, "DATE_FORMAT")) if day else ""


def invoice_sheet(doc: InvoiceDoc, *, made_at: dt.datetime, seal: Seal | None = None) -> Sheet:
    """Compile the paper; without a seal it is a preview, whose number is only proposed."""
    kind = paper_kinds.CREDIT_NOTE if doc.is_credit else paper_kinds.INVOICE
    with translation.override(doc.language):
        return Sheet(
            kind=kind,
            template="invoices/invoice.html",
            subject=f"invoice:{doc.number}",
            language=doc.language,
            title=f"{capfirst(_kind(doc))} {doc.number}",
            reference=doc.case_number or doc.buyer.name,
            house=letterhead(doc.seller.country, doc.buyer.country),
            made_at=made_at,
            seal=seal,
            body=_body(doc, totals_of(doc)),
        )


def letterhead(home: str, country: str) -> HouseBlock:
    """The head of the paper; abroad it names our country too."""
    block = house_block()
    ours = country_line(home, country)
    return dataclasses.replace(block, address=(*block.address, ours)) if ours else block


def country_line(country: str, other: str) -> str:
    """The last line of an address on a letter to or from another country, in capitals."""
    return "" if country == other else country_name(country).upper()


def postal_lines(client: Client, house: House) -> tuple[str, ...]:
    """Name and address of a client, as on an envelope."""
    country = country_line(client.country, house.country)
    lines = (client.name, client.contact, *client.address_lines, country)
    return tuple(line for line in lines if line)


def _kind(doc: InvoiceDoc) -> str:
    return str(Kind(doc.kind).label)


def _body(doc: InvoiceDoc, totals: Totals) -> InvoicePaper:
    label = _("Credited") if doc.is_credit else _("To be paid")
    return InvoicePaper(
        kind=capfirst(_kind(doc)),
        number=doc.number,
        is_credit=doc.is_credit,
        issued_on=day_words(doc.issued_on),
        due_on="" if doc.is_credit else day_words(doc.due_on),
        delivery_on=day_words(doc.delivery_on) if doc.kind == INVOICE else "",
        paid_on=day_words(doc.paid_on),
        amount_label=label,
        amount=money_words(totals.due, doc.currency),
        seller=seller_rows(doc.seller),
        buyer=_address(doc.buyer, doc.seller.country),
        buyer_rows=_buyer_rows(doc),
        corrects=_corrects(doc),
        lines=tuple(
            paper_line(line, net) for line, net in zip(doc.lines, totals.line_nets, strict=True)
        ),
        taken_off=taken_off(doc),
        taxes=tuple(tax_row(group) for group in totals.groups),
        sums=_sums(totals, doc.currency),
        deposits=tuple(_deposit_row(deposit, doc.currency) for deposit in doc.deposits),
        pay_rows=_pay_rows(doc),
        mentions=(
            *_operation_words(doc),
            *(one.text for one in doc.exemptions),
            *(note.text for note in _mentions(doc)),
        ),
    )


def _sums(totals: Totals, currency: str) -> tuple[tuple[str, str], ...]:
    return (
        (_("Total before VAT"), money_words(totals.net, currency)),
        (_("VAT"), money_words(totals.vat, currency)),
        (_("Total with VAT"), money_words(totals.gross, currency)),
    )


def _address(party: Party, home: str) -> tuple[str, ...]:
    town = f"{party.postcode} {party.city}".strip()
    country = country_line(party.country, home) if party.country else ""
    lines = (party.registered_name, party.contact, *party.address, town, country)
    return tuple(line for line in lines if line)


def _rows(*rows: Row) -> tuple[Row, ...]:
    return tuple(row for row in rows if row[1])


def seller_rows(seller: Party) -> tuple[Row, ...]:
    """Who writes, as business papers must say it (French commercial code, article R123-237)."""
    return _rows(
        (_("Registered as"), with_form(seller.registered_name, seller.legal_form)),
        ("SIRET" if seller.siret else "SIREN", seller.siret or seller.siren),
        (_("Register number"), seller.registration),
        (_("VAT number"), seller.vat_id),
        (_("Tax number"), seller.tax_number),
    )


def seller_remarks(seller: Party) -> list[str]:
    """What deserves a second look in how the workshop is named; it stops nothing."""
    said = sole_trader_remark(legal_name=seller.legal_name, legal_form=seller.legal_form)
    return [said] if said else []


def _buyer_rows(doc: InvoiceDoc) -> tuple[Row, ...]:
    buyer = doc.buyer
    return _rows(
        ("SIREN", buyer.siren),
        (_("Register number"), buyer.registration),
        (_("VAT number"), buyer.vat_id),
        (_("Your reference"), doc.buyer_reference),
        (_("Your order"), doc.order_reference),
        (_("Case"), doc.case_number),
    )


def _corrects(doc: InvoiceDoc) -> str:
    if not doc.preceding:
        return ""
    first = doc.preceding[0]
    named = _("Corrects invoice %(number)s of %(day)s.") % {
        "number": first.number,
        "day": day_words(first.issued_on),
    }
    why = " ".join(note.text for note in doc.notes if _says_why(doc, note))
    reason = labelled(_("Reason"), why)
    return f"{named} {reason}" if why else named


def _operation_words(doc: InvoiceDoc) -> tuple[str, ...]:
    """What is billed: CGI annexe II, article 242 nonies A I-8° bis."""
    if doc.seller.country != "FR":
        return ()
    return (labelled(_("What is billed"), str(Operation(doc.operation).label)),)


def _says_why(doc: InvoiceDoc, note: Note) -> bool:
    """What the house wrote on a credit note is why it is given."""
    return doc.is_credit and not note.code and bool(note.text)


def _mentions(doc: InvoiceDoc) -> list[Note]:
    """What is printed below; what a credit note holds of late payment is for machines alone."""
    notes = [note for note in doc.notes if note.text and not _says_why(doc, note)]
    return [note for note in notes if not (doc.is_credit and note.code in OF_PAYING)]


def _deposit_row(deposit: Deposit, currency: str) -> Row:
    words = _("Deposit invoice %(number)s of %(day)s") % {
        "number": deposit.number,
        "day": day_words(deposit.issued_on),
    }
    return words, f"−{money_words(deposit.amount, currency)}"


def _pay_rows(doc: InvoiceDoc) -> tuple[Row, ...]:
    """How to pay; nothing on a credit note."""
    if doc.is_credit:
        return ()
    by_transfer = doc.payment_means == TRANSFER
    account = (doc.seller.iban, doc.seller.bic) if by_transfer else ("", "")
    return _rows(
        (_("Pay by"), capfirst(str(Means(doc.payment_means).label))),
        *transfer_rows(*account, doc.number),
        (_("Terms"), doc.payment_terms),
    )


def transfer_rows(iban: str, bic: str, number: str) -> tuple[Row, ...]:
    """Where to, and what to write on the transfer."""
    reference = pgettext("what to write on a transfer", "Reference")
    return _rows(("IBAN", grouped(iban)), ("BIC", bic), (reference, number))


def grouped(number: str) -> str:
    """Four signs at a time, as an IBAN is written."""
    number = number.replace(" ", "")
    return " ".join(number[i : i + 4] for i in range(0, len(number), 4))
