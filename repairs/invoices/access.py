"""invoices.access: moved here."""

from __future__ import annotations

from django.shortcuts import get_object_or_404

from repairs.invoices.models import Invoice


def invoice_for(number: str) -> Invoice:
    rows = Invoice.objects.select_related(
        "client", "case", "credits", "paper", "issued_by", "draft"
    )
    return get_object_or_404(rows, number=number)
