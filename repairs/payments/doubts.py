"""What is odd about a payment, asked before it is noted."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.utils.translation import gettext as _

from repairs.einvoice.frozen import doc_from
from repairs.invoices.cash import _cash
from repairs.invoices.codes import Kind, Means
from repairs.invoices.models import Invoice
from repairs.law.rates import rate_fault
from repairs.money import NOTHING, money_words, total
from repairs.payments.late_charges import charges_left


def payment_doubts(
    invoice: Invoice, amount: Decimal, means: str, paid_on: dt.date | None = None
) -> list[str]:
    """Sentences about money that came (or, below zero, went back); none when all is usual.

    Late charges that a reminder claimed are left to pay too.
    """
    found = _rates(invoice, paid_on) if paid_on and amount > 0 else []
    balance = Invoice.objects.with_balance().get(pk=invoice.pk).balance
    left = max(balance, NOTHING) + charges_left(invoice).whole
    if amount > left:
        found.append(
            _("%(came)s is more than is left to pay (%(left)s): the rest must be paid back.")
            % {
                "came": money_words(amount, invoice.currency),
                "left": money_words(left, invoice.currency),
            }
        )
    if means == Means.CASH and amount > 0:
        before = invoice.payments.filter(means=Means.CASH).values_list("amount", flat=True)
        found += _cash(doc_from(invoice.content), amount + total(before))
    return found


def _rates(invoice: Invoice, paid_on: dt.date) -> list[str]:
    """Of a deposit, its rates that do not hold on the day on which it is paid.

    Tax on it falls due with the money (directive 2006/112/EC, articles 63 and 65).
    """
    if invoice.kind != Kind.DEPOSIT:
        return []
    doc = doc_from(invoice.content)
    rates = dict.fromkeys(line.rate_pct for line in doc.lines if line.rate_pct)
    words = _(
        "%(fault)s A deposit bears the rate of the day on which it is paid: credit this one and "
        "issue it anew."
    )
    faults = (rate_fault(doc.seller.country, rate_pct, paid_on) for rate_pct in rates)
    return [words % {"fault": fault} for fault in faults if fault]
