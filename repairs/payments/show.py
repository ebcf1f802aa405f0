"""What the pages of money show, read in a handful of queries."""

from __future__ import annotations

import datetime as dt
from typing import Any

from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import Invoice
from repairs.invoices.show import LATEST, cases_to_invoice, deposits_to_ask
from repairs.payments.late_charges import charges_left
from repairs.payments.open_items import ageing


def money_facts(today: dt.date) -> dict[str, object]:
    """All that waits for a deed: to be invoiced, drafts, late, due, to be paid back."""
    aged = ageing(today)
    return {
        "cases": cases_to_invoice()[:LATEST],
        "deposits": deposits_to_ask()[:LATEST],
        "drafts": InvoiceDraft.objects.open().select_related("client", "case", "credits"),
        "aged": aged,
        "late": aged.late,
        "due": aged.due,
        "to_pay_back": aged.to_pay_back,
        "latest": Invoice.objects.select_related("client")[:LATEST],
    }


def invoice_facts(invoice: Invoice, today: dt.date) -> dict[str, Any]:
    """All that the page of one invoice shows; ``item`` is None once nothing is open."""
    row = Invoice.objects.with_balance().get(pk=invoice.pk)
    item = next((i for i in ageing(today, invoice.client).items if i.invoice == invoice), None)
    return {
        "invoice": invoice,
        "balance": row.balance,
        "paid": row.paid,
        "credited": row.credited,
        "charges_left": charges_left(invoice).whole,
        "item": item,
        "payments": invoice.payments.select_related("noted_by", "reversal", "reverses"),
        "credit_notes": invoice.credit_notes.all(),
        "reminders": invoice.reminders.select_related("paper"),
        "sendings": invoice.sendings.select_related("by", "paper"),
        "deductions": invoice.deductions.select_related("deposit"),
        "tax_rows": invoice.tax_rows.all(),
    }
