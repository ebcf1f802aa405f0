"""How a view gets an invoice."""

from __future__ import annotations

from django.shortcuts import get_object_or_404

from repairs.invoices.models import Invoice


def invoice_for(number: str) -> Invoice:
    """The invoice of that number, or a page that is not found."""
    rows = Invoice.objects.select_related(
        "client", "case", "credits", "paper", "issued_by", "draft"
    )
    return get_object_or_404(rows, number=number)
