"""The journal of sales and the VAT of a period, and whether all books say the same sums."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from repairs.invoices.codes import Category, Kind
from repairs.invoices.ledger import Entry, accounts, entries
from repairs.invoices.models import Invoice, TaxRow
from repairs.money import NOTHING, amount_words, total
from repairs.people.models import House


@dataclass(frozen=True)
class Sale:
    """One paper in the journal of sales; a credit note takes away."""

    invoice: Invoice
    net: Decimal
    vat: Decimal
    gross: Decimal


@dataclass(frozen=True)
class VatLine:
    """All that was invoiced under one category and rate, less what was credited and deducted."""

    category: str
    label: str
    rate_pct: Decimal
    base: Decimal
    tax: Decimal


@dataclass(frozen=True)
class Books:
    """A period: its journal, its VAT, and the sums of both."""

    first: dt.date
    last: dt.date
    sales: list[Sale]
    vat: list[VatLine]

    @property
    def net(self) -> Decimal:
        return total(sale.net for sale in self.sales)

    @property
    def tax(self) -> Decimal:
        return total(sale.vat for sale in self.sales)

    @property
    def gross(self) -> Decimal:
        return total(sale.gross for sale in self.sales)


def books(first: dt.date, last: dt.date) -> Books:
    rows = Invoice.objects.filter(issued_on__range=(first, last))
    rows = rows.select_related("client").prefetch_related("tax_rows")
    sales = [_sale(invoice) for invoice in rows.order_by("issued_at", "pk")]
    return Books(first, last, sales, vat_lines(first, last))


def _sale(invoice: Invoice) -> Sale:
    rows = list(invoice.tax_rows.all())
    net, vat = total(row.base for row in rows), total(row.tax for row in rows)
    return Sale(invoice, net, vat, net + vat)


def vat_lines(first: dt.date, last: dt.date) -> list[VatLine]:
    """Added up here and not by the database: SQLite reckons decimals as binary fractions."""
    sums: dict[tuple[str, Decimal], tuple[Decimal, Decimal]] = {}
    for row in TaxRow.objects.filter(invoice__issued_on__range=(first, last)):
        base, tax = sums.get((row.category, row.rate_pct), (NOTHING, NOTHING))
        sums[row.category, row.rate_pct] = base + row.base, tax + row.tax
    lines = [
        VatLine(category, str(Category(category).label), rate_pct, base, tax)
        for (category, rate_pct), (base, tax) in sums.items()
    ]
    return sorted(lines, key=lambda line: (-line.rate_pct, line.category))


def faults(year: int) -> list[str]:
    """Where the books of a year differ from its invoices, in words; none when all agree.

    The figures printed on the papers, the tax rows and the double entry are added up apart.
    """
    period = books(dt.date(year, 1, 1), dt.date(year, 12, 31))
    written = entries(year)
    return [
        *_different_sums(period, written),
        *_foreign(period),
        *(
            _("Entry %(number)s does not balance.") % {"number": entry.number}
            for entry in written
            if total(line.debit - line.credit for line in entry.lines)
        ),
    ]


def _different_sums(period: Books, written: list[Entry]) -> Iterator[str]:
    papers = _printed(sale.invoice for sale in period.sales)
    summary = total(line.base + line.tax for line in period.vat)
    for what, found in (
        (_("The journal of sales"), period.gross),
        (_("The VAT summary"), summary),
        (_("The accounts of clients"), _owed(written)),
    ):
        if found != papers:
            said = {"what": what, "one": amount_words(found), "other": amount_words(papers)}
            yield _("%(what)s says %(one)s, but the invoices say %(other)s.") % said


def _foreign(period: Books) -> Iterator[str]:
    ours = House.present().currency
    for sale in period.sales:
        if sale.invoice.currency != ours:
            said = {"number": sale.invoice.number, "theirs": sale.invoice.currency, "ours": ours}
            yield _("%(number)s is in %(theirs)s, but the books are kept in %(ours)s.") % said


def _printed(invoices: Iterable[Invoice]) -> Decimal:
    """What the papers ask for: amounts due, less what credit notes give back."""
    return total(
        -invoice.gross if invoice.kind == Kind.CREDIT else invoice.due for invoice in invoices
    )


def _owed(written: list[Entry]) -> Decimal:
    """What the sales journal puts to the accounts of clients."""
    sales, client = accounts()["journals"]["sales"]["code"], accounts()["client"]["number"]
    return total(
        line.debit - line.credit
        for entry in written
        if entry.journal == sales
        for line in entry.lines
        if line.account == client
    )
