"""The VAT of what was received: of services it is normally due when they are paid for.

In France CGI article 269-2 c (read as quoted from LEGIARTI000006309449); goods, and a house that
opted for debits, go by the day of issue. Not done here yet: since 1 Jan 2023 VAT on a deposit for
goods is due when it is paid (269-2 a), and a mixed invoice is to be split by line. What came so
far is reckoned up to a day, and a period is the difference of two days: so all periods together
are, of an invoice that is settled, its VAT to the cent.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Prefetch, Q, QuerySet

from repairs.einvoice.document import GOODS
from repairs.invoices.models import Invoice, Payment, operation_of
from repairs.money import NOTHING, rounded, total

Key = tuple[str, Decimal]
MONEY_OF_SALES = (Payment.Sort.RECEIVED, Payment.Sort.REFUND)


@dataclass(frozen=True)
class Share:
    """Base and tax under one category and rate."""

    base: Decimal = NOTHING
    tax: Decimal = NOTHING

    @property
    def gross(self) -> Decimal:
        """Base and tax together."""
        return self.base + self.tax

    def __add__(self, other: Share) -> Share:
        return Share(self.base + other.base, self.tax + other.tax)

    def __neg__(self) -> Share:
        return Share(-self.base, -self.tax)


Shares = Mapping[Key, Share]


def received_shares(first: dt.date, last: dt.date) -> dict[Key, Share]:
    """Base and tax of what came for services in the period, less what went back."""
    before, found = first - dt.timedelta(days=1), dict[Key, Share]()
    for invoice in _moved(first, last):
        if operation_of(invoice) == GOODS:
            continue
        _add(found, received_until(invoice, last))
        _add(found, {key: -one for key, one in received_until(invoice, before).items()})
    return {key: one for key, one in found.items() if one != Share()}


def _moved(first: dt.date, last: dt.date) -> QuerySet[Invoice]:
    """Invoices of which a payment, a credit note or the issue itself lies in the period."""
    period = (first, last)
    moved = Q(issued_on__range=period) | Q(payments__paid_on__range=period)
    keys = Invoice.objects.asking().filter(moved | Q(credit_notes__issued_on__range=period))
    rows = Invoice.objects.filter(pk__in=keys.order_by().values("pk"))
    payments = Prefetch("payments", Payment.objects.select_related("reverses"))
    return rows.prefetch_related("tax_rows", payments, "credit_notes__tax_rows")


def received_until(invoice: Invoice, day: dt.date) -> dict[Key, Share]:
    """The part of each tax group in all that came for the invoice up to that day.

    Credit notes lower what is to be received. What came beyond it is, until it is paid back, money
    for what was credited; more than that was paid in error and bears no VAT. A deposit that was
    deducted counts with its own payment.
    """
    credited: dict[Key, Share] = {}
    for note in invoice.credit_notes.all():
        if note.issued_on <= day:
            _add(credited, {key: -one for key, one in _shares(note).items()})
    kept = _shares(invoice)
    _add(kept, {key: -one for key, one in credited.items()})
    came, asked, back = _came(invoice, day), _gross(kept), _gross(credited)
    if not came and day < invoice.issued_on:
        return {}
    found = _part(kept, min(came, asked))
    _add(found, _part(credited, min(max(came - asked, NOTHING), back)))
    return found


def _came(invoice: Invoice, day: dt.date) -> Decimal:
    return total(
        row.amount
        for row in invoice.payments.all()
        if row.paid_on <= day and (row.reverses or row).sort in MONEY_OF_SALES
    )


def _shares(invoice: Invoice) -> dict[Key, Share]:
    """What the paper adds to the books, deposits taken off: what is still to be paid of it."""
    found: dict[Key, Share] = {}
    for row in invoice.tax_rows.all():
        _add(found, {(row.category, row.rate_pct): Share(row.base, row.tax)})
    return found


def _gross(shares: Shares) -> Decimal:
    return total(one.gross for one in shares.values())


def _part(shares: Shares, amount: Decimal) -> dict[Key, Share]:
    """The part of each group in an amount: all of them together are the amount to the cent.

    Where nothing is asked for, because deposits paid for all of it, the groups stand as they are.
    """
    whole = _gross(shares)
    if amount == whole:
        return dict(shares)
    return dict(_parts(shares, amount, whole)) if whole else {}


def _parts(shares: Shares, amount: Decimal, whole: Decimal) -> Iterator[tuple[Key, Share]]:
    left, last = amount, next(reversed(list(shares)))
    for key, one in shares.items():
        gross = left if key == last else rounded(one.gross * amount / whole)
        tax = rounded(one.tax * amount / whole)
        left -= gross
        yield key, Share(gross - tax, tax)


def _add(found: dict[Key, Share], more: Shares) -> None:
    for key, one in more.items():
        found[key] = found.get(key, Share()) + one
