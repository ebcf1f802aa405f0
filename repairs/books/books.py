"""The journal of sales and the VAT of a period, and whether all books say the same sums."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from repairs.books.ledger import Entry, accounts, entries
from repairs.books.receipts import Share, received_shares
from repairs.einvoice.document import SERVICES
from repairs.invoices.codes import Category, Kind, Operation
from repairs.invoices.models import Invoice, TaxRow, operation_of
from repairs.money import amount_words, total
from repairs.people.house_models import House


@dataclass(frozen=True)
class Sale:
    """One paper in the journal of sales; a credit note takes away."""

    invoice: Invoice
    net: Decimal
    vat: Decimal
    gross: Decimal


@dataclass(frozen=True)
class VatLine:
    """All that was invoiced, or received, of one operation under one category and rate."""

    operation: str
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
    received: list[VatLine]

    @property
    def net(self) -> Decimal:
        """All sales of the period before VAT, credit notes taken off."""
        return total(sale.net for sale in self.sales)

    @property
    def tax(self) -> Decimal:
        """The VAT of all papers of the period, by their day of issue."""
        return total(sale.vat for sale in self.sales)

    @property
    def gross(self) -> Decimal:
        """All sales of the period with VAT."""
        return total(sale.gross for sale in self.sales)

    @property
    def received_net(self) -> Decimal:
        """What came for services in the period, before VAT."""
        return total(line.base for line in self.received)

    @property
    def received_tax(self) -> Decimal:
        """The VAT within what came for services in the period."""
        return total(line.tax for line in self.received)


def books(first: dt.date, last: dt.date) -> Books:
    """The books from one day to another, both included; amounts in the currency of the house.

    Questions to the database are as many for three papers as for thousands.
    """
    rows = Invoice.objects.filter(issued_on__range=(first, last))
    rows = rows.select_related("client").defer("content").prefetch_related("tax_rows")
    sales = [_sale(invoice) for invoice in rows.order_by("issued_at", "pk")]
    return Books(first, last, sales, vat_lines(first, last), received_lines(first, last))


def _sale(invoice: Invoice) -> Sale:
    rows = list(invoice.tax_rows.all())
    net, vat = total(row.base for row in rows), total(row.tax for row in rows)
    return Sale(invoice, net, vat, net + vat)


def vat_lines(first: dt.date, last: dt.date) -> list[VatLine]:
    """Added up here and not by the database: SQLite reckons decimals as binary fractions."""
    sums: dict[tuple[str, str, Decimal], Share] = {}
    rows = TaxRow.objects.filter(invoice__issued_on__range=(first, last))
    for row in rows.select_related("invoice__credits"):
        key = (operation_of(row.invoice), row.category, row.rate_pct)
        sums[key] = sums.get(key, Share()) + Share(row.base, row.tax)
    return _lines(sums)


def received_lines(first: dt.date, last: dt.date) -> list[VatLine]:
    """Of services alone: goods stay by the day of issue."""
    found = received_shares(first, last)
    return _lines({(SERVICES, *key): one for key, one in found.items()})


def _lines(sums: dict[tuple[str, str, Decimal], Share]) -> list[VatLine]:
    lines = [
        VatLine(operation, category, _label(operation, category), rate_pct, one.base, one.tax)
        for (operation, category, rate_pct), one in sums.items()
    ]
    return sorted(lines, key=lambda line: (-line.rate_pct, line.category, line.operation))


def _label(operation: str, category: str) -> str:
    return f"{capfirst(Operation(operation).label)}, {Category(category).label}"


def which_table(house: House) -> str:
    """Which of the two tables of VAT fills the return of that house.

    Goods on delivery, services on receipt unless the option for debits was taken, a deposit on
    receipt: CGI article 269-2 a and c (read as quoted by others, not on Légifrance).
    """
    if house.pays_on_debits:
        return _(
            "You opted to pay VAT on debits: the first table, by the day of issue, fills your "
            "return, for services and for goods; the second is for comparison. A deposit is due "
            "when it comes. Confirm with your accountant."
        )
    if house.country == "FR":
        return _(
            "For your return take services from the second table, by the day on which they were "
            "paid, and goods from the first, by the day of issue. Had you opted to pay VAT on "
            "debits, all would come from the first. Confirm with your accountant."
        )
    return _(
        "Whether VAT is due by the day of issue (first table) or of payment (second table), your "
        "country’s law says: confirm with your accountant."
    )


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
