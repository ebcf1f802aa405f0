"""What a reminder may claim on a day: the open sum, and from a business penalty and fixed fee."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from repairs.einvoice.document import InvoiceDoc
from repairs.einvoice.frozen import doc_from
from repairs.invoices.compile import day_words
from repairs.invoices.models import Invoice
from repairs.law.late_payment import LatePayment, laws
from repairs.money import NOTHING
from repairs.payments.late_charges import charges_received, penalty_until
from repairs.payments.models import LAST_LEVEL, Reminder
from repairs.payments.refusals import ReminderRefusedError


@dataclass(frozen=True, kw_only=True)
class Claim:
    """What is asked for on one day: what is open, the penalty so far, and the fixed fee, less
    what came of these two."""

    level: int
    open_amount: Decimal
    credited: Decimal
    paid: Decimal
    days_late: int
    rate_pct: Decimal | None
    penalty: Decimal
    fee: Decimal
    charges_paid: Decimal

    @property
    def whole(self) -> Decimal:
        """What the letter asks for: open sum, penalty and fee, less what came of the last two."""
        return self.open_amount + self.penalty + self.fee - self.charges_paid


def claim(invoice: Invoice, day: dt.date) -> Claim:
    """The next reminder that is due on that day.

    Who buys and at which rate the penalty runs is what the issued invoice says, whatever the
    house has set since (Code de commerce, L441-10 II and D441-5, read as quoted by others: penalty
    without a reminder from the day after, 40 € from businesses only).
    Raises ReminderRefusedError when the invoice is paid or not late, or after the third one.
    """
    row = Invoice.objects.with_balance().get(pk=invoice.pk)
    balance = row.balance
    last = invoice.reminders.order_by("-level").first()
    _check(row, balance, last, day)
    level = last.level + 1 if last else 1
    doc = doc_from(row.content)
    firm = level > 1 and doc.buyer.is_business
    rate = stated_rate(doc) if firm else None
    interest = penalty_until(row, rate, day) if rate else NOTHING
    law = laws().get(doc.seller.country, LatePayment())
    fee = Decimal(law.get("fee", "0.00")) if firm else NOTHING
    return Claim(
        level=level,
        open_amount=balance,
        credited=row.credited,
        paid=row.paid,
        days_late=(day - row.due_on).days,
        rate_pct=rate,
        penalty=interest,
        fee=fee,
        charges_paid=min(charges_received(row).whole, interest + fee),
    )


def stated_rate(doc: InvoiceDoc) -> Decimal | None:
    """The seller's own rate; none where the invoice does not state it."""
    return doc.penalty_rate_pct if doc.penalty_words else None


def _check(invoice: Invoice, balance: Decimal, last: Reminder | None, day: dt.date) -> None:
    if invoice.is_credit or balance <= 0:
        raise ReminderRefusedError(
            why=_("nothing is left to pay on it. See its payments and credit notes.")
        )
    if day <= invoice.due_on:
        why = _("it is due on %(day)s only. It may be reminded from the day after.") % {
            "day": day_words(invoice.due_on)
        }
        raise ReminderRefusedError(why=why)
    if last is not None and last.level >= LAST_LEVEL:
        why = _("three were issued. What comes next is a matter for a court or a collector.")
        raise ReminderRefusedError(why=why)
    if last is not None and last.issued_on >= day:
        raise ReminderRefusedError(why=_("one was issued today already. Wait for their answer."))
