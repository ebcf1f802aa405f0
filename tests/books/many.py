"""A year of very many invoices, made quickly: copies of a few that were issued by the real way."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import TypeVar

from django.db.models import Model
from django.db.models.base import ModelState

from repairs.invoices.actions import open_credit
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.models import Invoice, Payment, TaxRow
from repairs.people.models import Client, User
from repairs.press.models import Paper
from tests import factories

Row = TypeVar("Row", bound=Model)
MORNING = dt.time(9, 0, tzinfo=dt.UTC)


def full_year(year: int, invoices: int, others: int, payer: Client, *, by: User) -> None:
    """So many invoices of 417.60 of that client, deposits of 100.00 and credit notes of 72.00.

    Every invoice was paid by a wrong entry, its reversal and the right one; so all that the
    credit notes gave back is open, and every deposit is due.
    """
    first = dt.datetime.combine(dt.date(year, 1, 1), MORNING)
    line = factories.sold("Deposit", "83.33", sort="free")
    deposit = factories.issued(factories.draft(payer, line, by=by, kind="386"), by=by, at=first)
    invoice = factories.issued(factories.draft(payer, by=by), by=by, at=first)
    part = open_credit(invoice, by=by, at=first)
    part.lines.update(quantity=Decimal("1.25"))
    note = factories.issued(part, by=by, at=first)
    _copies(deposit, others - 1)
    all_invoices = [invoice, *_copies(invoice, invoices - 1)]
    _copies(note, others - 1, credits=lambda at: all_invoices[at + 1])
    _pay(all_invoices, by=by)


def _copies(
    like: Invoice, count: int, *, credits: Callable[[int], Invoice] | None = None
) -> list[Invoice]:
    """So many more such invoices, with draft, line, paper and tax row, from day to day."""

    def numbered(row: Invoice, at: int) -> None:
        row.sequence = 10 + 5000 * like.sequence + at
        row.number = f"{like.number[:8]}{row.sequence}"
        row.issued_on = like.issued_on + dt.timedelta(days=at % 360)
        row.due_on = row.issued_on + dt.timedelta(days=30)
        row.draft, row.paper = drafts[at], papers[at]
        row.xml_sha256 = f"{row.number:0>64}"
        if credits:
            row.credits = credits(at)

    def coded(row: Paper, at: int) -> None:
        row.uuid = Paper._meta.get_field("uuid").get_default()
        row.code = f"{like.pk}-{at}"
        row.subject = f"{like.log_key}:copy-{at}"
        row.sha256 = f"{like.pk}-{at:0>50}"

    drafts = _copied(InvoiceDraft.objects.get(pk=like.draft_id), count)
    papers = _copied(Paper.objects.get(pk=like.paper_id), count, coded)
    found = _copied(Invoice.objects.get(pk=like.pk), count, numbered)
    for line in DraftLine.objects.filter(draft=like.draft_id):
        _copied(line, count, lambda row, at: setattr(row, "draft", drafts[at]))
    for tax in TaxRow.objects.filter(invoice=like):
        _copied(tax, count, lambda row, at: setattr(row, "invoice", found[at]))
    return found


def _copied(
    like: Row, count: int, change: Callable[[Row, int], None] = lambda _row, _at: None
) -> list[Row]:
    rows = []
    for at in range(count):
        row = copy.copy(like)
        row._state = ModelState()
        row.pk = None
        change(row, at)
        rows.append(row)
    return type(like)._default_manager.bulk_create(rows)


def _pay(invoices: Sequence[Invoice], *, by: User) -> None:
    def entry(invoice: Invoice, sort: str, **said: object) -> Payment:
        amount = -invoice.due if sort == Payment.Sort.REVERSAL else invoice.due
        fields = {"paid_on": invoice.issued_on, "noted_at": invoice.issued_at, "noted_by": by}
        return Payment(invoice=invoice, sort=sort, amount=amount, means="30", **fields, **said)

    received = Payment.Sort.RECEIVED
    wrong = Payment.objects.bulk_create([entry(one, received) for one in invoices])
    undone = [entry(one.invoice, Payment.Sort.REVERSAL, reverses=one) for one in wrong]
    right = [entry(one, received) for one in invoices]
    Payment.objects.bulk_create([*undone, *right])
