"""What is left of an issued invoice: to credit, and of a deposit, to deduct."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from repairs.einvoice.document import Line, TaxGroup, Totals
from repairs.einvoice.frozen import doc_from
from repairs.einvoice.totals import line_net
from repairs.invoices.codes import Kind, quantity_words
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.models import Deduction, Invoice, TaxRow
from repairs.invoices.refusals import (
    CreditLineTooLargeError,
    CreditRefusedError,
    CreditTooLargeError,
    DepositUsedError,
)
from repairs.money import NOTHING, money_words, rounded, total

LINE_OF_INVOICE = "line:"


def groups_left(invoice: Invoice) -> list[TaxGroup]:
    """What the invoice billed under each tax, less what its credit notes took away.

    Added up here and not by the database: SQLite reckons decimals as binary fractions.
    """
    own = Q(invoice=invoice) & ~Q(part=TaxRow.Part.DEDUCTION)
    left: dict[tuple[str, Decimal], tuple[Decimal, Decimal]] = {}
    for row in TaxRow.objects.filter(own | Q(invoice__credits=invoice)):
        base, tax = left.get((row.category, row.rate_pct), (NOTHING, NOTHING))
        left[row.category, row.rate_pct] = base + row.base, tax + row.tax
    return [
        TaxGroup(category=category, rate_pct=rate_pct, base=base, tax=tax)
        for (category, rate_pct), (base, tax) in left.items()
    ]


def gross_left(invoice: Invoice) -> Decimal:
    return total(group.base + group.tax for group in groups_left(invoice))


@dataclass
class LineLeft:
    """What credit notes have left of a line of an invoice."""

    line: Line
    quantity: Decimal
    discount: Decimal
    net: Decimal

    @property
    def is_whole_units(self) -> bool:
        """Whether the quantity that is left, at the line's price, is what is left of its net."""
        if self.quantity <= 0:
            return False
        as_billed = replace(self.line, quantity=self.quantity, discount=self.discount)
        return line_net(as_billed) == self.net


def lines_left(invoice: Invoice) -> dict[str, LineLeft]:
    """By the source that a line of a credit note names, in the order of the invoice."""
    left = {
        f"{LINE_OF_INVOICE}{line.number}": LineLeft(
            line, line.quantity, line.discount, line_net(line)
        )
        for line in doc_from(invoice.content).lines
    }
    for row in DraftLine.objects.filter(draft__issued__credits=invoice, source__in=left):
        has = left[row.source]
        has.net -= net_of(row)
        has.quantity -= row.quantity
        has.discount = max(has.discount - row.discount, NOTHING)
    return left


def net_of(row: DraftLine) -> Decimal:
    return rounded(row.quantity * row.unit_price) - row.discount


def discount_left(invoice: Invoice, has: TaxGroup, base: Decimal, discount: Decimal) -> Decimal:
    """The discount on lines of a credit note that come to ``base`` under the tax of ``has``,
    which is what the invoice has left under it.

    With all lines that are left it is what brings them to the base that is left, to the cent
    (below zero where earlier credit notes took too much off); before, it is ``discount``, or as
    much more as keeps the credit note within what is left.
    """
    key = (has.category, has.rate_pct)
    rest = total(
        one.net
        for one in lines_left(invoice).values()
        if (one.line.category, one.line.rate_pct) == key
    )
    return base - has.base if base == rest else max(discount, base - has.base)


def require_creditable(invoice: Invoice) -> None:
    """Raise CreditRefusedError when another paper must be credited instead."""
    if invoice.is_credit:
        why = _("it is a credit note itself. Issue a new invoice instead.")
        raise CreditRefusedError(number=invoice.number, why=why)
    used = Deduction.objects.filter(deposit=invoice).select_related("invoice").first()
    if used is not None:
        why = _("it was deducted in invoice %(number)s. Credit that one instead.")
        why %= {"number": used.invoice.number}
        raise CreditRefusedError(number=invoice.number, why=why)


def require_not_more_than_invoiced(draft: InvoiceDraft, totals: Totals) -> None:
    """Raise CreditTooLargeError or CreditLineTooLargeError when more would be taken than is left.

    Of each tax, and of each line of the invoice that a line of the credit note comes from.
    """
    credited = draft.credits
    if credited is None:
        return
    _require_lines_left(draft, credited)
    left = {(group.category, group.rate_pct): group for group in groups_left(credited)}
    for group in totals.groups:
        has = left.get((group.category, group.rate_pct))
        if has is None or group.base > has.base or group.tax > has.tax:
            there = has.base + has.tax if has else NOTHING
            raise CreditTooLargeError(
                number=credited.number,
                left=money_words(there, credited.currency),
                wanted=money_words(group.base + group.tax, credited.currency),
                rate=group.rate_pct,
            )


def _require_lines_left(draft: InvoiceDraft, credited: Invoice) -> None:
    left = lines_left(credited)
    for row in draft.lines.all():
        has = left.get(row.source)
        if has is None:
            continue
        has.net -= net_of(row)
        is_more = row.unit == has.line.unit and row.quantity > has.line.quantity
        if has.net < 0 or is_more:
            raise CreditLineTooLargeError(
                number=credited.number,
                what=has.line.description,
                quantity=quantity_words(has.line.unit, has.line.quantity),
                left=money_words(has.net + net_of(row), credited.currency),
                wanted=money_words(net_of(row), credited.currency),
            )


def deposits_of(draft: InvoiceDraft) -> QuerySet[Invoice]:
    """Deposit invoices of the client that this draft may still deduct, the oldest first."""
    rows = Invoice.objects.filter(client=draft.client, kind=Kind.DEPOSIT, deduction=None)
    return rows.order_by("issued_on", "pk")


def check_deductions(draft: InvoiceDraft) -> list[Invoice]:
    """The deposits to deduct, held until the end of the transaction.

    Raises DepositUsedError when one was deducted meanwhile, has nothing left, or is another's.
    """
    wanted = draft.deposits.values_list("pk")
    rows = list(Invoice.objects.select_for_update().filter(pk__in=wanted).order_by("pk"))
    for deposit in rows:
        _check_deposit(draft, deposit)
    return rows


def _check_deposit(draft: InvoiceDraft, deposit: Invoice) -> None:
    if deposit.client_id != draft.client_id or deposit.kind != Kind.DEPOSIT:
        raise DepositUsedError(
            number=deposit.number, why=_("it is no deposit invoice of this client.")
        )
    used = Deduction.objects.filter(deposit=deposit).select_related("invoice").first()
    if used is not None:
        why = _("invoice %(number)s deducts it already.") % {"number": used.invoice.number}
        raise DepositUsedError(number=deposit.number, why=why)
    if gross_left(deposit) <= 0:
        raise DepositUsedError(number=deposit.number, why=_("it was credited as a whole."))
