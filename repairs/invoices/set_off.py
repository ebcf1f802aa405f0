"""A deposit and the invoice that deducted it settle one another when that invoice is credited."""

from __future__ import annotations

import datetime as dt

from repairs.audit.actions import record
from repairs.invoices.codes import Means
from repairs.invoices.models import Invoice, Payment
from repairs.money import rounded
from repairs.people.models import User


def set_off(invoice: Invoice, on: dt.date, *, by: User, at: dt.datetime) -> None:
    """Take what is to be paid back on the invoice off what its deposits still ask for.

    To be called inside the transaction that credits the invoice. Both sides are rows like any
    payment, so that the books show them; what was paid of a deposit is left to be paid back.
    """
    back = -_with_balance(invoice.pk).balance
    for deduction in invoice.deductions.order_by("pk"):
        deposit = _with_balance(deduction.deposit_id)
        amount = rounded(min(back, deposit.balance))  # SQLite drops the zeros of cents
        if amount <= 0:
            continue
        back -= amount
        made = {"means": Means.SET_OFF, "paid_on": on, "noted_at": at, "noted_by": by}
        Payment.objects.create(
            invoice=deposit,
            sort=Payment.Sort.RECEIVED,
            amount=amount,
            note=invoice.number,
            **made,
        )
        Payment.objects.create(
            invoice=invoice,
            sort=Payment.Sort.REFUND,
            amount=-amount,
            note=deposit.number,
            **made,
        )
        record(by, "payment.set_off", invoice, at=at, deposit=deposit.number, amount=str(amount))


def _with_balance(pk: int) -> Invoice:
    return Invoice.objects.with_balance().get(pk=pk)
