"""Verbs on payments: note one, pay some back, reverse a wrong entry. Rows are only ever added."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any, TypedDict

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.invoices.models import Invoice, Payment
from repairs.invoices.years import require_open
from repairs.money import NOTHING, money_words, total
from repairs.payments.late_charges import charges_left
from repairs.payments.refusals import PaymentRefusedError
from repairs.people.models import User


class UsualPayment(TypedDict):
    """What the form of a payment proposes; the amount without a sign, None when nothing is open."""

    sort: Payment.Sort
    amount: Decimal | None


def usual_payment(invoice: Invoice, balance: Decimal) -> UsualPayment:
    """What is noted next, as a rule: what is left, what is to be paid back, or late charges."""
    if balance < 0:
        return {"sort": Payment.Sort.REFUND, "amount": -balance}
    charges = NOTHING if balance else charges_left(invoice).whole
    if charges:
        return {"sort": Payment.Sort.CHARGES, "amount": charges}
    return {"sort": Payment.Sort.RECEIVED, "amount": balance or None}


@deed()
def note_parted(payment: Payment, *, by: User, at: dt.datetime) -> list[Payment]:
    """Keep money that came; what is above the balance goes to late charges that were claimed.

    It becomes two rows then, since only the first changes the balance. What is above both stays
    with the invoice, to be paid back.
    """
    charges = _part_of_charges(payment)
    payment.amount -= charges
    rows = [note_payment(payment, by=by, at=at)] if payment.amount else []
    if charges:
        rest = Payment(
            invoice=payment.invoice,
            sort=Payment.Sort.CHARGES,
            amount=charges,
            means=payment.means,
            paid_on=payment.paid_on,
            note=payment.note,
        )
        rows.append(note_payment(rest, by=by, at=at))
    return rows


def _part_of_charges(payment: Payment) -> Decimal:
    if payment.sort != Payment.Sort.RECEIVED:
        return NOTHING
    invoice = _locked(payment.invoice)
    above = payment.amount - max(invoice.balance, NOTHING)
    return min(max(above, NOTHING), charges_left(invoice).whole)


def noted_words(rows: list[Payment]) -> str:
    """What was noted, told to whoever noted it."""
    said = {
        row.sort == Payment.Sort.CHARGES: money_words(row.amount, row.invoice.currency)
        for row in rows
    }
    if True not in said:
        return _("The payment is noted.")
    if False not in said:
        return _("The payment is noted: %(charges)s of late charges.") % {"charges": said[True]}
    return _("The payment is noted: %(part)s for the invoice and %(charges)s of late charges.") % {
        "part": said[False],
        "charges": said[True],
    }


@deed()
def note_payment(payment: Payment, *, by: User, at: dt.datetime) -> Payment:
    """Keep money that came (``received``), that was paid back (``refund``), or that came for late
    charges (``charges``).

    Part of the sum and more than the sum may come; what is too much stays open until it is paid
    back. Raises PaymentRefusedError when more would be paid back than came, when more charges
    would come than reminders claimed, or when the day lies before the invoice or in the future.
    """
    require_open(payment.paid_on)
    invoice = _locked(payment.invoice)
    if invoice.is_credit:
        why = _("it belongs to the invoice that the credit note corrects. Note it with %(number)s.")
        raise PaymentRefusedError(why=why % {"number": invoice.credits})
    _check_day(invoice, payment.paid_on, at)
    if payment.sort == Payment.Sort.REFUND:
        _check_refund(invoice, payment.amount)
    if payment.sort == Payment.Sort.CHARGES:
        payment.fee_part = _fee_part(invoice, payment.amount)
    payment.noted_at, payment.noted_by = at, by
    payment.save()
    record(by, "payment.noted", invoice, at=at, **_details(payment))
    return payment


@deed()
def reverse_payment(payment: Payment, on: dt.date, *, by: User, at: dt.datetime) -> Payment:
    """Undo a wrong entry by one that says the contrary; both stay."""
    require_open(on)
    # Read anew under the lock: of two who reverse one entry at once the second is told so.
    payment = _locked(payment.invoice).payments.get(pk=payment.pk)
    if not payment.may_be_reversed:
        why = _("this entry was reversed already. Note what is right as a new payment.")
        raise PaymentRefusedError(why=why)
    if on < payment.paid_on:
        why = _("a reversal cannot lie before the entry that it reverses. Give a later day.")
        raise PaymentRefusedError(why=why)
    _check_day(payment.invoice, on, at)
    row = Payment.objects.create(
        invoice=payment.invoice,
        sort=Payment.Sort.REVERSAL,
        amount=-payment.amount,
        fee_part=-payment.fee_part,
        means=payment.means,
        paid_on=on,
        reverses=payment,
        noted_at=at,
        noted_by=by,
    )
    record(by, "payment.reversed", row.invoice, at=at, **_details(row))
    return row


def _locked(invoice: Invoice) -> Invoice:
    """The invoice with its balance, so that two who note a payment at once see one another."""
    held = Invoice.objects.select_for_update().get(pk=invoice.pk)
    return Invoice.objects.with_balance().get(pk=held.pk)


def _check_day(invoice: Invoice, day: dt.date, at: dt.datetime) -> None:
    if day > timezone.localtime(at).date():
        why = _("its day lies in the future. Note it once it came, or correct the day.")
        raise PaymentRefusedError(why=why)
    if day < invoice.issued_on:
        issued = date_format(invoice.issued_on, "DATE_FORMAT")
        why = _(
            "its day lies before the invoice, which was issued on %(day)s. For money that came "
            "before, issue a deposit invoice."
        ) % {"day": issued}
        raise PaymentRefusedError(why=why)


def _check_refund(invoice: Invoice, amount: Decimal) -> None:
    deposits = [row.deposit_id for row in invoice.deductions.all()]
    deducted = Invoice.objects.with_balance().filter(pk__in=deposits)
    came = invoice.paid + total(deposit.paid for deposit in deducted)
    if came + amount < 0:
        why = _(
            "%(back)s would be paid back, but only %(came)s came. Lower the sum, or first note the "
            "payment that is missing."
        ) % {
            "back": money_words(-amount, invoice.currency),
            "came": money_words(came, invoice.currency),
        }
        raise PaymentRefusedError(why=why)


def _fee_part(invoice: Invoice, amount: Decimal) -> Decimal:
    left = charges_left(invoice)
    if amount > left.whole:
        why = _(
            "%(came)s of late charges would come, but reminders ask for %(left)s. Note what is "
            "above it as received for the invoice."
        ) % {
            "came": money_words(amount, invoice.currency),
            "left": money_words(left.whole, invoice.currency),
        }
        raise PaymentRefusedError(why=why)
    return left.fee_within(amount)


def _details(payment: Payment) -> dict[str, Any]:
    """Amounts are figures of the house, not of a person: they may stand in the log."""
    return {
        "payment": payment.pk,
        "sort": payment.sort,
        "amount": str(payment.amount),
        "paid_on": payment.paid_on.isoformat(),
    }
