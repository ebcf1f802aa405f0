"""What is due and what is late: the open items with their age, and the account of one client."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Max, QuerySet
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.invoices.models import Invoice, Payment
from repairs.money import NOTHING, total
from repairs.payments.models import LAST_LEVEL, Reminder
from repairs.people.models import Client

COLUMNS: dict[str, str | Promise] = {
    "not_due": gettext_lazy("not due yet"),
    "to_30": gettext_lazy("1 to 30 days late"),
    "to_60": gettext_lazy("31 to 60 days late"),
    "to_90": gettext_lazy("61 to 90 days late"),
    "over_90": gettext_lazy("more than 90 days late"),
    "to_pay_back": gettext_lazy("to be paid back"),
}
MOST_DAYS = (("not_due", 0), ("to_30", 30), ("to_60", 60), ("to_90", 90))


@dataclass(frozen=True)
class OpenItem:
    """An invoice on which something is left; less than nothing is money to be paid back."""

    invoice: Invoice
    balance: Decimal
    days_late: int
    column: str
    reminded: int = 0  # the level of the last reminder

    @property
    def is_to_pay_back(self) -> bool:
        """Whether the house owes it to the client."""
        return self.column == "to_pay_back"

    @property
    def amount(self) -> Decimal:
        """Without a sign: what is left to pay, or what is to be paid back."""
        return abs(self.balance)

    @property
    def is_late(self) -> bool:
        """Whether its day has passed and it is still to be paid."""
        return self.column not in ("not_due", "to_pay_back")

    @property
    def may_be_reminded(self) -> bool:
        """Whether it is late and the last reminder was not yet the third."""
        return self.is_late and self.reminded < LAST_LEVEL

    @property
    def column_label(self) -> str:
        """Its column of age in the language in force."""
        return str(COLUMNS[self.column])


@dataclass
class Ageing:
    """The open items, and how much of them stands in each column of age."""

    items: list[OpenItem] = field(default_factory=list)

    @property
    def sums(self) -> list[tuple[str, str, Decimal]]:
        """(column, its words, its sum), in the order of age; all columns, also the empty ones."""
        return [(key, str(words), self.sum_of(key)) for key, words in COLUMNS.items()]

    @property
    def owed_sums(self) -> list[tuple[str, str, Decimal]]:
        """The columns of what is owed to the house in which anything stands."""
        return [one for one in self.sums if one[0] != "to_pay_back" and one[2]]

    @property
    def owed(self) -> Decimal:
        """All that clients owe; what is to be paid back is not taken off."""
        return total(item.balance for item in self.items if not item.is_to_pay_back)

    def sum_of(self, column: str) -> Decimal:
        """The signed sum of one column of age."""
        return total(item.balance for item in self.items if item.column == column)

    @property
    def balance(self) -> Decimal:
        """What clients owe, less what is to be paid back."""
        return total(item.balance for item in self.items)

    @property
    def amount(self) -> Decimal:
        """The balance without its sign, for words that tell which way it goes."""
        return abs(self.balance)

    @property
    def late(self) -> list[OpenItem]:
        """What is still to be paid after its day, the oldest day first."""
        return [item for item in self.items if item.is_late]

    @property
    def due(self) -> list[OpenItem]:
        """What is to be paid and not late yet."""
        return [item for item in self.items if item.column == "not_due"]

    @property
    def to_pay_back(self) -> list[OpenItem]:
        """What the house owes to clients."""
        return [item for item in self.items if item.column == "to_pay_back"]


def column_of(due_on: dt.date, balance: Decimal, today: dt.date) -> str:
    """The column of age: the day itself is not late yet."""
    if balance < 0:
        return "to_pay_back"
    late = (today - due_on).days
    return next((column for column, most in MOST_DAYS if late <= most), "over_90")


def ageing(today: dt.date, client: Client | None = None) -> Ageing:
    """The open items of one client, or of all, as they stand on that day.

    Payments and credit notes count whatever their day: it tells what is open now.
    """
    rows: QuerySet[Invoice] = Invoice.objects.open()
    if client is not None:
        rows = rows.filter(client=client)
    levels = dict(Reminder.objects.order_by().values_list("invoice").annotate(Max("level")))
    return Ageing([_item(invoice, today, levels.get(invoice.pk, 0)) for invoice in rows])


def _item(invoice: Invoice, today: dt.date, reminded: int) -> OpenItem:
    balance = invoice.balance
    days = max(0, (today - invoice.due_on).days)
    return OpenItem(invoice, balance, days, column_of(invoice.due_on, balance, today), reminded)


@dataclass(frozen=True)
class AccountLine:
    """One movement of a client's account: more than nothing is owed, less is paid or credited."""

    day: dt.date
    words: str
    owed: Decimal
    paid: Decimal
    balance: Decimal


def account(client: Client, upto: dt.date) -> list[AccountLine]:
    """All that was invoiced, credited and paid until that day, with the balance after each."""
    invoices = Invoice.objects.filter(client=client, issued_on__lte=upto)
    payments = Payment.objects.filter(invoice__client=client, paid_on__lte=upto)
    payments = payments.select_related("invoice", "reverses").defer("invoice__content")
    moves = [*_invoiced(invoices.defer("content")), *_paid(payments)]
    lines, balance = [], NOTHING
    for day, _order, words, amount in sorted(moves, key=lambda move: move[:2]):
        balance += amount
        owed, paid = max(amount, NOTHING), max(-amount, NOTHING)
        lines.append(AccountLine(day, words, owed, paid, balance))
    return lines


Move = tuple[dt.date, tuple[int, int], str, Decimal]


def _invoiced(invoices: Iterable[Invoice]) -> Iterable[Move]:
    for invoice in invoices:
        amount = -invoice.gross if invoice.is_credit else invoice.due
        words = f"{invoice.get_kind_display()} {invoice.number}"
        yield invoice.issued_on, (0, invoice.pk), words, amount


def _paid(payments: Iterable[Payment]) -> Iterable[Move]:
    """Late charges are asked for and come in one: they stand in no invoice."""
    for payment in payments:
        if payment.is_charges:
            asked = _("late charges for %(number)s") % {"number": payment.invoice.number}
            yield payment.paid_on, (1, payment.pk), asked, payment.amount
        words = _("%(what)s, %(how)s, for %(number)s") % {
            "what": payment.get_sort_display(),
            "how": payment.get_means_display(),
            "number": payment.invoice.number,
        }
        yield payment.paid_on, (1, payment.pk), words, -payment.amount
