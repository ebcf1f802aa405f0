"""What is seldom right: asked about and never refused, since it may have happened."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from django.utils.translation import gettext as _

from repairs.instruments.kinds import read_fixture
from repairs.invoices.codes import Means
from repairs.invoices.document import InvoiceDoc, Party
from repairs.invoices.frozen import doc_from
from repairs.invoices.late_charges import charges_left
from repairs.invoices.models import Invoice
from repairs.invoices.totals import totals_of
from repairs.money import NOTHING, money_words, total


@dataclass(frozen=True, kw_only=True)
class CashLimit:
    """The most that a trader may take in cash for one debt, and from a private visitor."""

    most: Decimal
    most_of_visitors: Decimal
    currency: str
    source: str

    def most_from(self, buyer: Party, home: str) -> Decimal:
        is_visitor = buyer.country != home and not buyer.is_business
        return self.most_of_visitors if is_visitor else self.most


@cache
def cash_limit(country: str) -> CashLimit | None:
    """None where the law names no limit, or none is known here."""
    row = read_fixture("books/cash.json").get(country)
    if row is None:
        return None
    return CashLimit(
        most=Decimal(row["most"]),
        most_of_visitors=Decimal(row["most_of_visitors"]),
        currency=row["currency"],
        source=row["source"],
    )


def payment_doubts(invoice: Invoice, amount: Decimal, means: str) -> list[str]:
    """Sentences about money that came (or, below zero, went back); none when all is usual.

    Late charges that a reminder claimed are left to pay too.
    """
    found = []
    balance = Invoice.objects.with_balance().get(pk=invoice.pk).balance
    left = max(balance, NOTHING) + charges_left(invoice).whole
    if amount > 0 and amount > left:
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


def due_doubts(doc: InvoiceDoc) -> list[str]:
    """The same of what an invoice asks for."""
    if doc.is_credit or doc.payment_means != Means.CASH:
        return []
    return _cash(doc, totals_of(doc).due)


def _cash(doc: InvoiceDoc, amount: Decimal) -> list[str]:
    limit = cash_limit(doc.seller.country)
    if limit is None or limit.currency != doc.currency:
        return []
    most = limit.most_from(doc.buyer, doc.seller.country)
    if amount <= most:
        return []
    words = _("%(sum)s in cash is above what the law allows, %(most)s (%(source)s).") % {
        "sum": money_words(amount, doc.currency),
        "most": money_words(most, doc.currency),
        "source": limit.source,
    }
    return [words]
