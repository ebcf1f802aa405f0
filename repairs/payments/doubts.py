"""What is odd about a payment, asked before it is noted."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from repairs.einvoice.frozen import doc_from
from repairs.invoices.cash import _cash
from repairs.invoices.codes import Means
from repairs.invoices.models import Invoice
from repairs.money import NOTHING, money_words, total
from repairs.payments.late_charges import charges_left


def payment_doubts(invoice: Invoice, amount: Decimal, means: str) -> list[str]:
    """Sentences about money that came (or, below zero, went back); none when all is usual.

    Late charges that a reminder claimed are left to pay too.
    """
    found = []
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
