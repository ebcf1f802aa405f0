"""From the facts of a draft to the frozen invoice. Pure: whatever it says was gathered before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.einvoice.document import (
    GOODS,
    NEEDS_REASON,
    REVERSE,
    SERVICES,
    Allowance,
    Deposit,
    Exemption,
    InvoiceDoc,
    Line,
    Preceding,
)
from repairs.einvoice.totals import group_under, line_net
from repairs.invoices.codes import Kind, Unit
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.facts import Credited, Facts, InvoiceLeft
from repairs.invoices.notes import notes_of
from repairs.invoices.parties import buyer_party, seller_party
from repairs.invoices.remaining import LINE_OF_INVOICE, discount_left
from repairs.language.text import decimal_words
from repairs.money import NOTHING, share


def document_of(facts: Facts, *, number: str) -> InvoiceDoc:
    """The invoice that the draft of these facts makes under that number, in its own language.

    Raises InvoiceFigureError for a line whose figures cannot be.
    """
    lines = tuple(_line(row, facts) for row in facts.rows)
    with translation.override(facts.draft.language):
        return _document(facts, lines, number)


def _document(facts: Facts, lines: tuple[Line, ...], number: str) -> InvoiceDoc:
    draft, house, credited = facts.draft, facts.house, facts.credited
    return InvoiceDoc(
        kind=draft.kind,
        number=number,
        issued_on=facts.day,
        due_on=_due_on(facts),
        delivery_on=facts.supplied_on,
        paid_on=facts.draft.delivery_on if facts.draft.kind == Kind.DEPOSIT else None,
        currency=house.currency,
        language=draft.language,
        operation=credited.operation if credited else _operation(facts.rows),
        seller=seller_party(house, names_vat=_names_vat(facts, lines)),
        buyer=buyer_party(facts.client),
        buyer_reference=draft.buyer_reference,
        order_reference=draft.order_reference,
        case_number=facts.case_number,
        lines=lines,
        allowances=tuple(_allowances(facts, lines)),
        deposits=tuple(_deposit(one) for one in facts.deposits),
        preceding=_preceding(facts),
        tax_left=credited.groups if credited else (),
        exemptions=_exemptions(facts, lines),
        notes=tuple(notes_of(facts)),
        payment_terms=_terms(facts),
        payment_means=draft.means,
        penalty_rate_pct=house.penalty_rate_pct if facts.client.is_business else None,
    )


def _due_on(facts: Facts) -> dt.date | None:
    if facts.is_credit:
        return None
    return facts.day + dt.timedelta(days=facts.draft.payment_days)


def _names_vat(facts: Facts, lines: Iterable[Line]) -> bool:
    """A small business names its VAT number only where the client accounts for the VAT, or where
    it credits VAT that it charged before."""
    is_named = any(line.rate_pct or line.category == REVERSE for line in lines)
    return facts.deal.pays_vat or is_named


def _line(row: DraftLine, facts: Facts) -> Line:
    return Line(
        number=str(row.position),
        description=row.description,
        details=row.details,
        quantity=_short(row.quantity),
        unit=row.unit,
        unit_price=_short(row.unit_price),
        category=row.category,
        rate_pct=_short(row.rate_pct),
        discount=row.discount,
        gross=row.gross,
        is_flat=_is_flat(row, facts.credited),
    )


def _is_flat(row: DraftLine, credited: Credited | None) -> bool:
    """Whether it is one price for the whole: what a case gives that is not counted, and what takes
    back such a line of an invoice. What somebody typed as a piece stays one."""
    if row.unit != Unit.PIECE or row.quantity != 1:
        return False
    if credited is not None and row.source in credited.lines:
        return credited.lines[row.source].line.is_flat
    return bool(row.source) and not row.source.startswith(LINE_OF_INVOICE)


def _short(value: Decimal) -> Decimal:
    """The same number without needless zeros, and never as 2E+1."""
    return Decimal(format(value.normalize(), "f"))


def _operation(rows: Iterable[DraftLine]) -> str:
    """Material alone is a sale of goods; work with its material is a service."""
    return GOODS if {row.sort for row in rows} == {DraftLine.Sort.MATERIAL} else SERVICES


def _allowances(facts: Facts, lines: tuple[Line, ...]) -> Iterator[Allowance]:
    """The discount on the whole, for each tax apart; below zero it is a charge.

    EN 16931 lets an allowance of the whole bear one tax only (BT-95, BT-96).
    """
    draft, credited = facts.draft, facts.credited
    if not draft.discount_pct:
        return
    words = draft.discount_reason or _("Discount")
    reason = _("%(what)s %(pct)s %%") % {"what": words, "pct": decimal_words(draft.discount_pct)}
    for (category, rate_pct), base in _bases(lines).items():
        amount = share(base, draft.discount_pct)
        has = group_under(credited.groups, (category, rate_pct)) if credited else None
        if credited is not None and has is not None:
            amount = discount_left(credited.lines.values(), has, base, amount)
        if amount:
            yield Allowance(
                amount=abs(amount),
                reason=reason,
                category=category,
                rate_pct=rate_pct,
                is_charge=amount.is_signed(),
            )


def _bases(lines: Iterable[Line]) -> dict[tuple[str, Decimal], Decimal]:
    """What the lines come to under each tax, in the order of the lines."""
    bases: dict[tuple[str, Decimal], Decimal] = {}
    for line in lines:
        key = (line.category, line.rate_pct)
        bases[key] = bases.get(key, NOTHING) + line_net(line)
    return bases


def _deposit(deposit: InvoiceLeft) -> Deposit:
    invoice = deposit.invoice
    return Deposit(amount=deposit.gross, number=invoice.number, issued_on=invoice.issued_on)


def _preceding(facts: Facts) -> tuple[Preceding, ...]:
    if facts.credited is None:
        return ()
    corrected = facts.credited.invoice
    return (Preceding(number=corrected.number, issued_on=corrected.issued_on),)


def _exemptions(facts: Facts, lines: Iterable[Line]) -> tuple[Exemption, ...]:
    """The reason of each category that bears no tax, as the seller's law words it.

    A credit note may need a reason which the house has no more: none is left out here.
    """
    needed = {line.category for line in lines} & frozenset(NEEDS_REASON)
    held = facts.deal.reasons
    language = facts.draft.language
    return tuple(
        Exemption(category=category, code=held[category].code, text=held[category].text[language])
        for category in sorted(needed)
        if category in held
    )


def _terms(facts: Facts) -> str:
    if facts.is_credit:
        return ""
    days = facts.draft.payment_days
    if not days:
        return _("On receipt")
    words = ngettext(
        "%(days)s day from the date of the invoice",
        "%(days)s days from the date of the invoice",
        days,
    )
    return words % {"days": days}
