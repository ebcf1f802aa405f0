"""Which deposit invoices an invoice may deduct: those of its client, each once, and whole."""

from __future__ import annotations

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import Deduction, Invoice
from repairs.invoices.refusals import DepositUsedError
from repairs.invoices.remaining import gross_of, groups_left_of


def deposits_of(draft: InvoiceDraft) -> QuerySet[Invoice]:
    """Deposit invoices of the client that this draft may still deduct, the oldest first."""
    rows = Invoice.objects.filter(client=draft.client, kind=Kind.DEPOSIT, deduction=None)
    return rows.order_by("issued_on", "pk")


def hold_deposits(draft: InvoiceDraft) -> None:
    """Hold the deposits that the draft deducts until the end of the transaction.

    Raises DepositUsedError when one was deducted meanwhile, has nothing left, or is another's.
    """
    wanted = draft.deposits.values_list("pk")
    rows = list(Invoice.objects.select_for_update().filter(pk__in=wanted).order_by("pk"))
    taken = Deduction.objects.filter(deposit__in=rows).values_list("deposit", "invoice__number")
    left, used = groups_left_of(rows), dict(taken)
    for deposit in rows:
        if why := _why_not(draft, deposit, used.get(deposit.pk, "")):
            raise DepositUsedError(number=deposit.number, why=why)
        if gross_of(left[deposit.pk]) <= 0:
            raise DepositUsedError(number=deposit.number, why=_("it was credited as a whole."))


def _why_not(draft: InvoiceDraft, deposit: Invoice, used_by: str) -> str:
    if deposit.client_id != draft.client_id or deposit.kind != Kind.DEPOSIT:
        return _("it is no deposit invoice of this client.")
    if used_by:
        return _("invoice %(number)s deducts it already.") % {"number": used_by}
    return ""
