"""What is seldom right: asked about and never refused, since it may have happened."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.instruments.kinds import read_fixture
from repairs.invoices.codes import Means
from repairs.invoices.document import InvoiceDoc, Party
from repairs.invoices.frozen import doc_from
from repairs.invoices.late_charges import charges_left
from repairs.invoices.models import Invoice, InvoiceDraft
from repairs.invoices.totals import totals_of
from repairs.money import NOTHING, money_words, total
from repairs.people.models import House
from repairs.text import decimal_words

LATE_DAYS = 365
MOST_DAYS_TO_PAY = 60  # between businesses: directive 2011/7/EU, art. 3 (5), from memory


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


def draft_doubts(draft: InvoiceDraft, doc: InvoiceDoc) -> list[str]:
    """The same of what a draft would ask for."""
    if doc.is_credit:
        return []
    totals = totals_of(doc)
    found = _cash(doc, totals.due) if doc.payment_means == Means.CASH else []
    found += _rates(doc)
    if not totals.gross:
        found.append(_("Nothing is to be paid: an invoice for nothing is seldom meant."))
    if doc.delivery_on and (doc.issued_on - doc.delivery_on).days > LATE_DAYS:
        found.append(
            _("It was done on %(day)s, long before it is invoiced. Is that day right?")
            % {"day": date_format(doc.delivery_on, "DATE_FORMAT")}
        )
    if draft.payment_days > MOST_DAYS_TO_PAY and not doc.buyer.is_business:
        found.append(
            _("It gives %(days)s days to pay. Is that meant?") % {"days": draft.payment_days}
        )
    return found


def _rates(doc: InvoiceDoc) -> list[str]:
    """Lines that bear another rate than the house usually charges."""
    usual = House.present().default_rate_pct
    odd = [line for line in doc.lines if line.rate_pct and line.rate_pct != usual]
    words = _("Line %(number)s bears %(rate)s %%, and not the usual %(usual)s %%. Is that meant?")
    return [
        words
        % {
            "number": line.number,
            "rate": decimal_words(line.rate_pct),
            "usual": decimal_words(usual),
        }
        for line in odd
    ]


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
