"""What a credit note may take back: never more than its invoice has left."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from repairs.einvoice.document import Totals
from repairs.invoices.codes import quantity_words
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.facts import Credited, Facts
from repairs.invoices.models import Deduction, Invoice
from repairs.invoices.refusals import (
    CreditLineTooLargeError,
    CreditRefusedError,
    CreditTooLargeError,
)
from repairs.money import NOTHING, money_words


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


def require_not_more_than_invoiced(facts: Facts, totals: Totals) -> None:
    """Raise CreditTooLargeError or CreditLineTooLargeError when more would be taken than is left.

    Of each tax, and of each line of the invoice that a line of the credit note comes from.
    ``totals`` are those of the credit note. Anything but a credit note passes.
    """
    credited = facts.credited
    if credited is None:
        return
    _require_lines_left(facts.rows, credited)
    left = {(group.category, group.rate_pct): group for group in credited.groups}
    for group in totals.groups:
        has = left.get((group.category, group.rate_pct))
        if has is None or group.base > has.base or group.tax > has.tax:
            there = has.base + has.tax if has else NOTHING
            raise CreditTooLargeError(
                number=credited.number,
                left=money_words(there, credited.invoice.currency),
                wanted=money_words(group.base + group.tax, credited.invoice.currency),
                rate=group.rate_pct,
            )


def _require_lines_left(rows: Iterable[DraftLine], credited: Credited) -> None:
    """Several lines of the note may come from one line of the invoice: they are taken in turn."""
    left = {source: one.net for source, one in credited.lines.items()}
    for row in rows:
        if row.source not in left:
            continue
        line, net_left = credited.lines[row.source].line, left[row.source]
        left[row.source] -= row.net
        is_more = row.unit == line.unit and row.quantity > line.quantity
        if row.net > net_left or is_more:
            raise CreditLineTooLargeError(
                number=credited.number,
                what=line.description,
                quantity=quantity_words(line.unit, line.quantity),
                left=money_words(net_left, credited.invoice.currency),
                wanted=money_words(row.net, credited.invoice.currency),
            )
