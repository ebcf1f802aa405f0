"""The books in double entry: every invoice and payment of a year as balanced lines."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from repairs.instruments.kinds import read_fixture
from repairs.invoices.codes import Means
from repairs.invoices.models import Invoice, Payment, TaxRow
from repairs.money import NOTHING, total


@dataclass(frozen=True, kw_only=True)
class BookLine:
    """One line of an entry; exactly one of debit and credit is more than zero."""

    account: str
    account_label: str
    debit: Decimal
    credit: Decimal
    client: str = ""
    client_name: str = ""


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One entry: lines that balance, the paper they rest on, and when it was written down."""

    journal: str
    journal_label: str
    day: dt.date
    written_at: dt.datetime
    piece: str
    piece_day: dt.date
    label: str
    lines: tuple[BookLine, ...]
    number: int = 0


@cache
def accounts() -> Mapping[str, Any]:
    found: Mapping[str, Any] = read_fixture("books/accounts.json")
    return found


def entries(year: int) -> list[Entry]:
    """All entries dated in the year, numbered in the order in which they were written down.

    An entry that is added later, with an earlier day, so leaves the numbers of the others as they
    are: the order that the French layout asks for (from memory).
    """
    found = sorted([*_sales(year), *_money(year)], key=lambda one: (one[0], one[1]))
    numbered = []
    for number, (_written, _order, entry) in enumerate(found, start=1):
        numbered.append(Entry(**{**vars(entry), "number": number}))
    return numbered


Found = tuple[dt.datetime, int, Entry]


def _sales(year: int) -> Iterator[Found]:
    rows = Invoice.objects.filter(issued_on__year=year)
    for invoice in rows.select_related("client").prefetch_related("tax_rows"):
        journal = accounts()["journals"]["sales"]
        entry = Entry(
            journal=journal["code"],
            journal_label=journal["label"],
            day=invoice.issued_on,
            written_at=invoice.issued_at,
            piece=invoice.number,
            piece_day=invoice.issued_on,
            label=f"{invoice.number} {invoice.client.name}",
            lines=tuple(_sale_lines(invoice)),
        )
        yield invoice.issued_at, invoice.pk, entry


def _sale_lines(invoice: Invoice) -> Iterator[BookLine]:
    """The client owes; sales, deposits and tax are owed to the books. A credit note is mirrored."""
    rows = list(invoice.tax_rows.all())
    owed = total(row.base + row.tax for row in rows)
    if owed:
        yield _client_line(invoice, owed)
    for row in rows:
        name = "sale" if row.part == TaxRow.Part.SALE else "deposit"
        for account, amount in ((name, row.base), ("vat", row.tax)):
            if amount:
                yield _line(account, -amount)


def _money(year: int) -> Iterator[Found]:
    rows = Payment.objects.filter(paid_on__year=year).select_related("invoice__client")
    for payment in rows:
        place = "cash" if payment.means == Means.CASH else "bank"
        journal = accounts()["journals"][place]
        entry = Entry(
            journal=journal["code"],
            journal_label=journal["label"],
            day=payment.paid_on,
            written_at=payment.noted_at,
            piece=payment.invoice.number,
            piece_day=payment.invoice.issued_on,
            label=f"{payment.invoice.number} {payment.invoice.client.name}",
            lines=(_line(place, payment.amount), _client_line(payment.invoice, -payment.amount)),
        )
        yield payment.noted_at, payment.pk, entry


def _client_line(invoice: Invoice, amount: Decimal) -> BookLine:
    return _line("client", amount, f"C{invoice.client_id:05d}", invoice.client.name)


def _line(name: str, amount: Decimal, client: str = "", client_name: str = "") -> BookLine:
    """A debit when the amount is more than zero, a credit otherwise."""
    account = accounts()[name]
    return BookLine(
        account=account["number"],
        account_label=account["label"],
        debit=max(amount, NOTHING),
        credit=max(-amount, NOTHING),
        client=client,
        client_name=client_name,
    )
