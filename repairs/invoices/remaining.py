"""What is left of an issued invoice: to credit, and of a deposit, to deduct."""

from __future__ import annotations

from decimal import Decimal

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from repairs.errors import CreditRefusedError, CreditTooLargeError, DepositUsedError
from repairs.invoices.codes import Kind
from repairs.invoices.document import TaxGroup, Totals
from repairs.invoices.models import Deduction, Invoice, InvoiceDraft, TaxRow
from repairs.money import NOTHING, money_words, total


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
    """Raise CreditTooLargeError when a credit note takes more than its invoice has left."""
    credited = draft.credits
    if credited is None:
        return
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
