"""What the official rules let pass and must not pass: checked here, on every invoice of ours.

Tried out on single faults: the official rules do not notice a line whose net is not quantity ×
price, tax that is a cent off, an amount due without a date, or (outside France) a credit note that
names no invoice; and no rule knows whether the file says what the invoice says.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterator
from decimal import Decimal

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.einvoice.check.findings import FATAL, TOLERATED, Finding
from repairs.einvoice.document import (
    CREDIT,
    DEPOSIT,
    NEEDS_REASON,
    OUTSIDE,
    InvoiceDoc,
    Party,
    TaxGroup,
)
from repairs.einvoice.names import category_name
from repairs.einvoice.read.received import FiveTotals, ReadAmount, ReadInvoice
from repairs.einvoice.totals import totals_of
from repairs.einvoice.write.elements import legal
from repairs.language.text import decimal_words, semicolons
from repairs.law.numbers import (
    bic_fault,
    country_fault,
    iban_fault,
    siren_fault,
    siret_fault,
    vat_fault,
)
from repairs.money import CENT, exact_words, share

FIVE = ("lines_net", "net", "vat", "gross", "due")


def check_document(doc: InvoiceDoc) -> Iterator[Finding]:
    """Dates, references, reasons and identifiers of the invoice itself."""
    yield from _dates(doc)
    if doc.kind == CREDIT and not any(one.number and one.issued_on for one in doc.preceding):
        yield _fatal("OWN-CREDIT", _("The credit note does not name the invoice it corrects."))
    for deposit in doc.deposits:
        if deposit.number and not deposit.issued_on:
            yield _fatal("OWN-DEPOSIT", _("A deposit invoice is named without its date."))
    for category in sorted(doc.categories.intersection(NEEDS_REASON)):
        exemption = doc.exemption(category)
        if not exemption or not (exemption.text or exemption.code):
            why = _("No tax is charged under “%(category)s”, but no reason is given.")
            yield _fatal("OWN-REASON", why % {"category": category_name(category)})
    yield from _party(doc.seller, "OWN-SELLER")
    yield from _party(doc.buyer, "OWN-BUYER")


def _dates(doc: InvoiceDoc) -> Iterator[Finding]:
    due = totals_of(doc).due
    if due > 0 and doc.kind != CREDIT and not doc.due_on:
        yield _fatal("OWN-DUE", _("An amount is due, but no date by which it is to be paid."))
    if due > 0 and doc.kind != DEPOSIT and doc.due_on and doc.due_on < doc.issued_on:
        yield _fatal("OWN-DUE", _("The invoice is due before the day on which it is issued."))


def _party(party: Party, rule: str) -> Iterator[Finding]:
    faults = (
        country_fault(party.country),
        "" if party.name.strip() else _("A name is missing."),
        iban_fault(party.iban),
        bic_fault(party.bic),
        siren_fault(party.siren),
        siret_fault(party.siret, party.siren),
        vat_fault(party.vat_id, party.country),
    )
    return (_fatal(rule, fault) for fault in faults if fault)


def check_written(doc: InvoiceDoc, read: ReadInvoice) -> Iterator[Finding]:
    """The file says what the invoice says, and every sum in it is exact to the cent."""
    said = {
        _("kind"): (doc.kind, read.kind),
        _("number"): (doc.number, read.number),
        _("date"): (doc.issued_on, read.issued_on),
        _("due date"): (doc.due_on, read.due_on),
        _("currency"): (doc.currency, read.currency),
        _("seller"): (_spaced(doc.seller.registered_name), read.seller),
        _("buyer"): (_spaced(doc.buyer.registered_name), read.buyer),
        _("references"): (
            tuple((one.number, one.issued_on) for one in doc.references),
            read.references,
        ),
        _("number of lines"): (len(doc.lines), len(read.lines)),
    }
    for what, (ours, theirs) in said.items():
        if ours != theirs:
            yield _differs(what, ours, theirs)
    yield from _lines(doc, read)
    yield from _sums(doc, read)


def _lines(doc: InvoiceDoc, read: ReadInvoice) -> Iterator[Finding]:
    for ours, theirs in zip(doc.lines, read.lines, strict=False):
        where = _("line %(number)s") % {"number": ours.number}
        written = (ours.number, _spaced(ours.description), ours.quantity, ours.unit_price)
        found = (theirs.number, theirs.description, theirs.quantity, theirs.price)
        if written != found:
            yield _differs(where, written, found)
        if theirs.net != theirs.expected_net:
            why = _("The net of a line is %(net)s, but quantity × price is %(product)s.")
            figures_said = {
                "net": exact_words(theirs.net),
                "product": exact_words(theirs.expected_net),
            }
            yield _fatal("OWN-LINE-NET", why % figures_said, where)


def _sums(doc: InvoiceDoc, read: ReadInvoice) -> Iterator[Finding]:
    totals = totals_of(doc)
    ours = FiveTotals(**{name: getattr(totals, name) for name in FIVE})
    anew = read.recomputed()
    if anew.vat is not None and abs(anew.vat - totals.vat) <= _tolerated(doc):
        anew = dataclasses.replace(anew, vat=ours.vat, gross=ours.gross, due=ours.due)
    for name, found in (
        (_("totals as stated"), read.stated),
        (_("totals as recomputed"), anew),
    ):
        if found != ours:
            yield _differs(name, ours, found)
    if read.prepaid != totals.prepaid:
        yield _differs(_("prepaid"), totals.prepaid, read.prepaid)
    groups = tuple(_as_read(group, doc) for group in totals.groups)
    if groups != read.groups:
        yield _differs(_("tax groups"), groups, read.groups)
    yield from (_tax_off(group) for group in read.groups if _is_off(group, doc))


def _as_read(group: TaxGroup, doc: InvoiceDoc) -> ReadAmount:
    exemption = doc.exemption(group.category)
    return ReadAmount(
        category=group.category,
        rate_pct=group.rate_pct,
        amount=group.base,
        tax=group.tax,
        reason=_spaced(exemption.text) if exemption else "",
        reason_code=exemption.code if exemption else "",
    )


def _is_off(group: ReadAmount, doc: InvoiceDoc) -> bool:
    if group.category == OUTSIDE:
        return False
    if group.tax is None:
        return True
    return abs(group.tax - share(group.amount, group.rate_pct)) > _tolerated(doc)


def _tolerated(doc: InvoiceDoc) -> Decimal:
    """By how much its tax may be off the rate: the last credit note takes what is left, which may
    be some cents; a price agreed with its tax may want one."""
    if doc.is_credit:
        return TOLERATED
    return CENT * sum(line.gross is not None for line in doc.lines)


def _tax_off(group: ReadAmount) -> Finding:
    why = _("The tax on %(base)s at %(rate)s %% is %(tax)s, which is not exact.")
    said = {
        "base": exact_words(group.amount),
        "rate": decimal_words(group.rate_pct),
        "tax": exact_words(group.tax),
    }
    return _fatal("OWN-TAX", why % said)


def _spaced(words: str) -> str:
    return " ".join(legal(words).split())


def _differs(what: str, ours: object, theirs: object) -> Finding:
    why = _("The file says something else than the invoice (%(what)s): %(theirs)s, not %(ours)s.")
    said = {"what": what, "theirs": _said(theirs), "ours": _said(ours)}
    return _fatal("OWN-READ-BACK", why % said)


def _said(value: object) -> str:
    """As a reader writes it: figures with the sign of the language, days in words, “—” for none."""
    if dataclasses.is_dataclass(value):
        return _said(tuple(getattr(value, field.name) for field in dataclasses.fields(value)))
    if isinstance(value, tuple):
        return semicolons(_said(one) for one in value) or "—"
    if isinstance(value, Decimal):
        return decimal_words(value)
    if isinstance(value, dt.date):
        return str(date_format(value, "DATE_FORMAT"))
    return str(value) if value not in (None, "") else "—"


def _fatal(rule: str, text: str, where: str = "") -> Finding:
    return Finding(rule=rule, flag=FATAL, text=text, where=where)
