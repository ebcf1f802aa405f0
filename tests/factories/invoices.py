"""Drafts, invoices and the money that comes."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.utils import timezone

from repairs.invoices import actions as invoice_actions
from repairs.invoices.actions import DraftLineSpec
from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.invoices.issuing import fingerprint, issue_invoice
from repairs.invoices.models import Invoice, Payment
from repairs.payments.actions import note_payment
from repairs.people.house_models import House
from repairs.people.models import Client, User


def hours(quantity: str = "7.25", unit_price: str = "48.00", **fields: Any) -> DraftLineSpec:
    said: dict[str, Any] = {
        "sort": "hours",
        "description": "Work on the wheel",
        "quantity": Decimal(quantity),
        "unit": "HUR",
        "unit_price": Decimal(unit_price),
    } | fields
    return DraftLineSpec(**said)


def sold(description: str, unit_price: str, **fields: Any) -> DraftLineSpec:
    said: dict[str, Any] = {
        "sort": "material",
        "description": description,
        "quantity": Decimal(1),
        "unit_price": Decimal(unit_price),
    } | fields
    return DraftLineSpec(**said)


def draft(
    client: Client, *lines: DraftLineSpec, by: User, kind: str = Kind.INVOICE, **fields: Any
) -> InvoiceDraft:
    """A draft with the lines given, or with some hours of work."""
    row = invoice_actions.open_draft(
        client,
        case=fields.pop("case", None),
        kind=kind,
        lines=lines or (hours(),),
        by=by,
        at=timezone.now(),
    )
    for name, value in fields.items():
        setattr(row, name, value)
    row.save()
    return row


def issued(row: InvoiceDraft, *, by: User, at: dt.datetime | None = None) -> Invoice:
    """The draft issued as it stands, by the same way as the screen."""
    shown = fingerprint(document_of(facts_of(row, at or timezone.now()), number=""))
    return issue_invoice(row, shown=shown, by=by, clock=lambda: at or timezone.now())


def late(client: Client, *, by: User, rate_pct: str = "12") -> Invoice:
    """417.60, due thirty days ago, with the penalty rate of the house in it."""
    House.objects.update(penalty_rate_pct=Decimal(rate_pct))
    row = draft(client, by=by, payment_days=0)
    return issued(row, by=by, at=timezone.now() - dt.timedelta(days=30))


def payment(
    invoice: Invoice, amount: str, *, by: User, on: dt.date | None = None, **fields: Any
) -> Payment:
    """Money that came; less than nothing is money paid back."""
    value = Decimal(amount)
    said = {"means": "30", "sort": "received" if value > 0 else "refund"} | fields
    row = Payment(invoice=invoice, amount=value, paid_on=on or timezone.localdate(), **said)
    return note_payment(row, by=by, at=timezone.now())
