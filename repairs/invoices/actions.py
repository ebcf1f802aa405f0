"""Verbs on drafts: open one, change it, open a credit note on an invoice, throw one away."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.cases.models import Case
from repairs.invoices.codes import Kind, Unit
from repairs.invoices.crediting import require_creditable
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.gathering import tax_day_of
from repairs.invoices.models import Invoice
from repairs.invoices.refusals import CreditRefusedError, CurrencyNotOursError, DraftOverError
from repairs.invoices.remaining import lines_left
from repairs.invoices.taxing import Tax, tax_of
from repairs.money import NOTHING
from repairs.people.house_models import House
from repairs.people.models import Client, User
from repairs.screens.refusals import ChangedMeanwhileError

DRAFT_FIELDS = (
    "language",
    "delivery_on",
    "payment_days",
    "means",
    "discount_pct",
    "discount_reason",
    "buyer_reference",
    "order_reference",
    "note",
    "above_because",
)


@dataclass(frozen=True, kw_only=True)
class DraftLineSpec:
    """A line as a room below proposes it. Without category and rate, the usual tax is taken."""

    sort: str
    description: str
    details: str = ""
    quantity: Decimal
    unit: str = Unit.PIECE
    unit_price: Decimal
    category: str = ""
    rate_pct: Decimal | None = None
    discount: Decimal = NOTHING
    currency: str = ""
    source: str = ""
    gross: Decimal | None = None  # agreed with its tax: the price follows from it


@deed()
def open_draft(
    client: Client,
    *,
    case: Case | None = None,
    kind: str = Kind.INVOICE,
    lines: Iterable[DraftLineSpec] = (),
    by: User,
    at: dt.datetime,
) -> InvoiceDraft:
    """Open a draft with the lines proposed; nothing is billed by it.

    Raises CurrencyNotOursError for a line in another currency than the house's.
    """
    house = House.present()
    draft = _opened(
        client,
        by=by,
        at=at,
        kind=kind,
        case=case,
        language=client.language,
        payment_days=house.payment_days,
        buyer_reference=client.buyer_reference,
    )
    day = tax_day_of(draft, localtime(at).date())
    _write_lines(draft, [_line_of(spec, tax_of(house, client, day), house) for spec in lines])
    record(by, "invoice.drafted", draft, at=at, kind=kind, case=case.number if case else "")
    return draft


def _opened(client: Client, *, by: User, at: dt.datetime, **said: Any) -> InvoiceDraft:
    """A new draft, made and last changed at once."""
    made = {"made_at": at, "made_by": by, "changed_at": at, "changed_by": by}
    return InvoiceDraft.objects.create(client=client, **made, **said)


def _line_of(spec: DraftLineSpec, usual: Tax, house: House) -> DraftLine:
    if spec.currency and spec.currency != house.currency:
        raise CurrencyNotOursError(theirs=spec.currency, ours=house.currency)
    category, rate_pct = spec.category, spec.rate_pct
    if not category or rate_pct is None:
        category, rate_pct = usual.category, usual.rate_pct
    return DraftLine(
        sort=spec.sort,
        description=spec.description,
        details=spec.details,
        quantity=spec.quantity,
        unit=spec.unit,
        unit_price=spec.unit_price,
        category=category,
        rate_pct=rate_pct,
        discount=spec.discount,
        source=spec.source,
        gross=spec.gross,
    )


@deed()
def change_draft(
    draft: InvoiceDraft,
    lines: Sequence[DraftLine],
    deposits: Sequence[Invoice],
    *,
    by: User,
    at: dt.datetime,
) -> InvoiceDraft:
    """Keep what a form says of the draft, with all its lines anew.

    ``draft.revision`` is the one that the form was made from; raises ChangedMeanwhileError when
    somebody saved since.
    """
    present = locked(draft)
    if present.revision != draft.revision:
        when = date_format(localtime(present.changed_at), "DATETIME_FORMAT")
        raise ChangedMeanwhileError(who=present.changed_by, when=when)
    draft.revision += 1
    draft.changed_at, draft.changed_by = at, by
    draft.save(update_fields=[*DRAFT_FIELDS, "revision", "changed_at", "changed_by"])
    _write_lines(draft, lines)
    draft.deposits.set(deposits)
    record(by, "invoice.draft_changed", draft, at=at, lines=len(lines))
    return draft


def locked(draft: InvoiceDraft) -> InvoiceDraft:
    """The draft as it stands, held until the end of the transaction.

    Raises DraftOverError when it was issued or thrown away.
    """
    rows = InvoiceDraft.objects.select_for_update(of=("self",)).select_related("changed_by")
    present = rows.get(pk=draft.pk)
    if present.discarded_at is not None or Invoice.objects.filter(draft=present).exists():
        raise DraftOverError
    return present


@deed()
def discard_draft(draft: InvoiceDraft, *, by: User, at: dt.datetime) -> None:
    """Throw a draft away: it had no number, and bound nobody. Raises DraftOverError."""
    present = locked(draft)
    present.discarded_at = at
    present.save(update_fields=["discarded_at"])
    present.deposits.clear()
    record(by, "invoice.draft_discarded", present, at=at)


# What a credit note repeats of its invoice: the buyer's accounts match the two by the references
# (EN 16931 BT-10, BT-13), and a discount taken off then comes off what is given back too.
CARRIED_OVER = (
    "language",
    "means",
    "discount_pct",
    "discount_reason",
    "buyer_reference",
    "order_reference",
)


@deed()
def open_credit(invoice: Invoice, *, by: User, at: dt.datetime) -> InvoiceDraft:
    """Open the draft of a credit note with all that is left to credit; take out what stays billed.

    Raises CreditRefusedError when nothing is left, or when another paper must be credited.
    """
    require_creditable(invoice)
    waiting = invoice.credit_drafts.filter(discarded_at=None, issued=None).first()
    if waiting is not None:
        return waiting
    lines = _lines_left(invoice)
    if not lines:
        raise CreditRefusedError(
            number=invoice.number,
            why=_("all of it was credited already; no more can be taken back."),
        )
    draft = _opened(
        invoice.client,
        by=by,
        at=at,
        kind=Kind.CREDIT,
        case=invoice.case,
        credits=invoice,
        payment_days=0,
        **{name: getattr(invoice.draft, name) for name in CARRIED_OVER},
    )
    _write_lines(draft, lines)
    record(by, "credit.drafted", draft, at=at, invoice=invoice.number)
    return draft


def _lines_left(invoice: Invoice) -> list[DraftLine]:
    """The lines of the invoice, less what earlier credit notes took of each.

    Where those took a price and not a quantity, what is left is one line of that sum.
    """
    sorts = {str(own.position): own.sort for own in invoice.draft.lines.all()}
    found = []
    for source, left in lines_left(invoice).items():
        line = left.line
        if left.net <= 0:
            continue
        row = DraftLine(
            sort=sorts.get(line.number, DraftLine.Sort.FREE),
            description=line.description,
            details=line.details,
            quantity=left.quantity,
            unit=line.unit,
            unit_price=line.unit_price,
            category=line.category,
            rate_pct=line.rate_pct,
            discount=left.discount,
            source=source,
        )
        if not left.is_whole_units:
            row.quantity, row.unit = Decimal(1), Unit.PIECE
            row.unit_price, row.discount = left.net, NOTHING
        found.append(row)
    return found


def _write_lines(draft: InvoiceDraft, lines: Sequence[DraftLine]) -> None:
    """All lines anew, in their order."""
    draft.lines.all().delete()
    for position, line in enumerate(lines, start=1):
        line.pk, line.draft, line.position = None, draft, position
    DraftLine.objects.bulk_create(lines)
