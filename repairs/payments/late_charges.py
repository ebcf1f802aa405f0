"""What late payment costs the client: penalty and fixed fee as reminders claimed them, what came
of it, and what is open. It stands beside the invoice and changes no balance.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from repairs.invoices.models import Invoice, Payment
from repairs.money import NOTHING, rounded, total
from repairs.payments.models import Reminder

DAYS_A_YEAR = 365


@dataclass(frozen=True)
class Charges:
    """Penalty and fixed fee of one invoice, apart, as they are booked apart."""

    penalty: Decimal
    fee: Decimal

    @property
    def whole(self) -> Decimal:
        """Both together."""
        return self.penalty + self.fee

    def fee_within(self, amount: Decimal) -> Decimal:
        """How much of a part payment goes to the fee: interest comes first (Code civil, article
        1343-1, not verified)."""
        return max(amount - self.penalty, NOTHING)


def charges_left(invoice: Invoice, reminder: Reminder | None = None) -> Charges:
    """What that reminder, or else the last one, claimed and what has not come yet."""
    asked = reminder or invoice.reminders.order_by("level").last()
    if asked is None or not asked.asks_charges:
        return Charges(NOTHING, NOTHING)
    came = charges_received(invoice)
    return Charges(max(asked.penalty - came.penalty, NOTHING), max(asked.fee - came.fee, NOTHING))


def charges_received(invoice: Invoice) -> Charges:
    """What came of the charges of that invoice, less what was reversed."""
    rows = list(invoice.payments.of_charges())
    fee = total(row.fee_part for row in rows)
    return Charges(total(row.amount for row in rows) - fee, fee)


def penalty(amount: Decimal, rate_pct: Decimal, days: int) -> Decimal:
    """Simple interest: amount × rate × days ÷ 365, rounded to the cent, halves away from zero.

    In a leap year too: 365 days never ask more than a year’s interest for a year.
    """
    return rounded(amount * rate_pct * days / (100 * DAYS_A_YEAR))


def penalty_until(invoice: Invoice, rate_pct: Decimal, day: dt.date) -> Decimal:
    """The penalty from the day after the due day on. Wants an invoice with its balance.

    A part that came late bears it until it came; what was credited never bore any.
    """
    return total(penalty(amount, rate_pct, days) for amount, days in _spans(invoice, day))


def _spans(invoice: Invoice, upto: dt.date) -> Iterator[tuple[Decimal, int]]:
    """(what was open, for how many days), from the due day on."""
    since, left = invoice.due_on, invoice.due - invoice.credited
    rows = invoice.payments.of_invoices().filter(reversal=None, paid_on__lte=upto)
    for row in rows.exclude(sort=Payment.Sort.REVERSAL):
        until = max(since, row.paid_on)
        yield max(left, NOTHING), (until - since).days
        since = until
        left -= row.amount
    yield max(left, NOTHING), (upto - since).days
