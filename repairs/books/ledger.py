"""The books in double entry: every invoice and payment of a year as balanced lines."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from repairs.books.lettering import Letter, letters
from repairs.einvoice.document import SERVICES
from repairs.einvoice.frozen import doc_from
from repairs.einvoice.totals import line_net
from repairs.invoices.codes import Means
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.models import Invoice, Payment, TaxRow, operation_of
from repairs.money import NOTHING, rounded, total
from repairs.storage.fixtures import read_fixture

PLACES = {Means.CASH.value: "cash", Means.SET_OFF.value: "set_off"}


@dataclass(frozen=True, kw_only=True)
class BookLine:
    """One line of an entry; exactly one of debit and credit is more than zero."""

    account: str
    account_label: str
    debit: Decimal
    credit: Decimal
    client: str = ""
    client_name: str = ""
    letter: Letter | None = None


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
    """Numbers and labels of accounts and journals: the French chart, in ``books/accounts.json``."""
    found: Mapping[str, Any] = read_fixture("books/accounts.json")
    return found


def entries(year: int) -> list[Entry]:
    """All entries dated in the year, numbered in the order in which they were written down.

    An entry that is added later, with an earlier day, so leaves the numbers of the others as they
    are: article A47 A-1 VII of the LPF wants the order of validation and a continuous sequence
    (its text read as republished at juriblio.fr).
    """
    settled = letters()
    both = [*_sales(year, settled), *_money(year, settled)]
    # LPF A47 A-1 VII: by day of validation, not by day of the piece. The key of the row parts what
    # was written in the same instant, and is the same at every export.
    found = sorted(both, key=lambda one: (one[0], one[1]))
    numbered = []
    for number, (_written, _order, entry) in enumerate(found, start=1):
        numbered.append(Entry(**{**vars(entry), "number": number}))
    return numbered


Found = tuple[dt.datetime, int, Entry]
Settled = Mapping[int, Letter]


def _sales(year: int, settled: Settled) -> Iterator[Found]:
    journal = accounts()["journals"]["sales"]
    rows = Invoice.objects.filter(issued_on__year=year)
    rows = rows.select_related("client", "credits", "draft")  # joined: see storage.rows
    for invoice in rows.prefetch_related("tax_rows", "draft__lines"):
        credited = invoice.credits.number if invoice.credits else ""
        entry = Entry(
            journal=journal["code"],
            journal_label=journal["label"],
            day=invoice.issued_on,
            written_at=invoice.issued_at,
            piece=invoice.number,
            piece_day=invoice.issued_on,
            label=_words(invoice.kind, invoice, credited=credited),
            lines=tuple(_sale_lines(invoice, settled)),
        )
        yield invoice.issued_at, invoice.pk, entry


def _words(key: str, invoice: Invoice, **more: str) -> str:
    """What the entry is, in the words of the accountant’s country."""
    words = str(accounts()["words"][key])
    return words.format(number=invoice.number, client=invoice.client.name, **more)


def _sale_lines(invoice: Invoice, settled: Settled) -> Iterator[BookLine]:
    """The client owes; sales, deposits and tax are owed to the books. A credit note is mirrored.

    All VAT goes to 445710 on the day of issue. For services it is due on receipt (CGI 269-2 c);
    a small house may reckon it from lettering, as the table of what was received does. A waiting
    account beside it (44574 or 4458x: sources disagree, neither verified) is not kept here.
    """
    rows = list(invoice.tax_rows.all())
    owed = total(row.base + row.tax for row in rows)
    if owed:
        yield _client_line(invoice, owed, settled)
    for row in rows:
        for account, amount in (*_of_accounts(invoice, row), ("vat", row.tax)):
            if amount:
                yield _line(account, -amount)


def _of_accounts(invoice: Invoice, row: TaxRow) -> list[tuple[str, Decimal]]:
    """The base of a tax row, parted among the accounts that the lines under that tax go to.

    A discount on the whole falls on each in proportion; the last takes what rounding leaves, so
    that the parts are the base to the cent.
    """
    # 4191, advances of clients: a deposit is no turnover before the work is done, and its deduction
    # empties the account again.
    if row.part != TaxRow.Part.SALE:
        return [("deposit", row.base)]
    weights = _nets(invoice, row.category, row.rate_pct)
    whole, parts, left = total(weights.values()), [], row.base
    # An old draft without lines under that tax has no weights; its base goes to services, for a
    # repair shop sells mostly work.
    *firsts, last = weights or {_account_of("services", row.category): NOTHING}
    for account in firsts:
        part = rounded(row.base * weights[account] / whole) if whole else NOTHING
        parts.append((account, part))
        left -= part
    return [*parts, (last, left)]


def _nets(invoice: Invoice, category: str, rate_pct: Decimal) -> dict[str, Decimal]:
    """What the lines under one tax come to, by the account that they go to."""
    sorts = {str(line.position): line.sort for line in invoice.draft.lines.all()}
    operation, nets = operation_of(invoice), dict[str, Decimal]()
    for line in doc_from(invoice.content).lines:
        if (line.category, line.rate_pct) == (category, rate_pct):
            sort = sorts.get(line.number, DraftLine.Sort.FREE)
            account = _account_of(_usual(sort, operation), category)
            nets[account] = nets.get(account, NOTHING) + line_net(line)
    return nets


def _usual(sort: str, operation: str) -> str:
    """Material that was built in is part of the work, under every tax alike: it stands in the
    accounts of goods only where goods alone were sold."""
    return "services" if operation == SERVICES else str(accounts()["sorts"][sort])


def _account_of(usual: str, category: str) -> str:
    """What goes abroad without VAT of ours has accounts of its own."""
    return str(accounts()["categories"].get(category, {}).get(usual, usual))


def _money(year: int, settled: Settled) -> Iterator[Found]:
    rows = Payment.objects.filter(paid_on__year=year)
    rows = rows.select_related("invoice__client", "reverses").defer("invoice__content")
    for payment in rows:
        # Cash has its journal and its account (530): the tax office asks for it apart from the
        # bank.
        place = PLACES.get(payment.means, "bank")
        journal = accounts()["journals"][place]
        entry = Entry(
            journal=journal["code"],
            journal_label=journal["label"],
            day=payment.paid_on,
            written_at=payment.noted_at,
            piece=payment.invoice.number,
            piece_day=payment.invoice.issued_on,
            label=_payment_words(payment),
            lines=(
                _line(place, payment.amount),
                *_against(payment, settled),
            ),
        )
        yield payment.noted_at, payment.pk, entry


def _against(payment: Payment, settled: Settled) -> Iterator[BookLine]:
    """Late charges are an income of their own and never stood on the account of the client.

    They bear no VAT, as damages do not (not verified). The chart since 2025 (ANC 2022-06) has the
    fixed fee under 7581 and interest under 7631, says a secondary source.
    """
    if not payment.is_charges:
        yield _client_line(payment.invoice, -payment.amount, settled)
        return
    penalty = payment.amount - payment.fee_part
    for name, amount in (("late_penalty", penalty), ("late_fee", payment.fee_part)):
        if amount:
            yield _line(name, -amount)


def _payment_words(payment: Payment) -> str:
    means = str(accounts()["means"][payment.means])
    day = (payment.reverses or payment).paid_on
    return _words(payment.sort, payment.invoice, means=means, day=f"{day:%d/%m/%Y}")


def _client_line(invoice: Invoice, amount: Decimal, settled: Settled) -> BookLine:
    """A credit note is settled with the invoice that it corrects."""
    return dataclasses.replace(
        _line("client", amount),
        # The auxiliary account is the key and not the name: people marry, and an account that
        # changes its name is two accounts to the accountant.
        client=f"C{invoice.client_id:05d}",
        client_name=invoice.client.name,
        letter=settled.get(invoice.credits_id or invoice.pk),
    )


def _line(name: str, amount: Decimal) -> BookLine:
    """A debit when the amount is more than zero, a credit otherwise."""
    account = accounts()[name]
    return BookLine(
        account=account["number"],
        account_label=account["label"],
        debit=max(amount, NOTHING),
        credit=max(-amount, NOTHING),
    )
