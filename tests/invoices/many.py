"""Many issued invoices at once, for what must hold at size: rows only, without their papers."""

from __future__ import annotations

from typing import Any

from django.db.models import Model

from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import Invoice, TaxRow
from repairs.press.models import Paper


def _facts(row: Model) -> dict[str, Any]:
    names = (one.attname for one in row._meta.concrete_fields if not one.primary_key)
    return {name: getattr(row, name) for name in names}


def copies_of(invoice: Invoice | None, count: int) -> list[Invoice]:
    """So many invoices that say the same under numbers of their own, with their tax rows."""
    assert invoice is not None
    drafts = InvoiceDraft.objects.bulk_create(
        InvoiceDraft(**_facts(invoice.draft)) for _number in range(count)
    )
    papers = _papers_like(invoice.paper, count)
    said = _facts(invoice)
    rows = Invoice.objects.bulk_create(
        Invoice(**said | _own(number) | {"draft_id": draft.pk, "paper_id": paper.pk})
        for number, (draft, paper) in enumerate(zip(drafts, papers, strict=True))
    )
    taxes = [_facts(tax) for tax in invoice.tax_rows.all()]
    TaxRow.objects.bulk_create(
        TaxRow(**tax | {"invoice_id": row.pk}) for row in rows for tax in taxes
    )
    return rows


def _own(number: int) -> dict[str, Any]:
    return {"number": f"FX-2026-{number:04d}", "sequence": 5000 + number}


def _papers_like(paper: Paper, count: int) -> list[Paper]:
    said = _facts(paper)
    del said["uuid"]
    return Paper.objects.bulk_create(
        Paper(
            **said
            | {"code": f"X{number:06d}", "sha256": f"{number:064d}", "subject": f"many:{number}"}
        )
        for number in range(count)
    )
