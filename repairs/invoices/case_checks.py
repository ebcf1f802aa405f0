"""What its case says of a draft: the ceiling agreed, the deposits to deduct, the day of supply."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal

from django.db.models import Exists, OuterRef
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.cases.models import Case, HandBack
from repairs.einvoice.document import InvoiceDoc
from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.models import Invoice
from repairs.invoices.remaining import gross_left
from repairs.language.text import decimal_words
from repairs.money import NOTHING, money_words, share, total
from repairs.treatment.models import SignOff
from repairs.treatment.signing import nothing_left
from repairs.treatment.spent import with_ceiling


def supplied_on(draft: InvoiceDraft, day: dt.date) -> dt.date | None:
    """When the work was done: as typed, or the return, or the last sign-off, or ``day``.

    A deposit is asked before anything is supplied: None. A credit note states what its invoice
    stated.
    """
    if draft.kind == Kind.DEPOSIT:
        return None
    if draft.credits is not None:
        said = draft.credits.content.get("delivery_on")
        return dt.date.fromisoformat(said) if said else None
    done = draft.delivery_on or (draft.case and done_on(draft.case))
    return done or day


def done_on(case: Case) -> dt.date | None:
    """The day of the return to the owner, or of the last sign-off; None before both."""
    returned = HandBack.objects.filter(case=case).exclude(done_at=None).last()
    if returned is not None:
        return timezone.localtime(returned.returned_at).date()
    signed = SignOff.objects.filter(intervention__case=case).order_by("at").last()
    return timezone.localtime(signed.at).date() if signed is not None else None


def above_agreed(draft: InvoiceDraft, gross: Decimal) -> Decimal:
    """By how much all that is billed of the case would be above the ceiling that was agreed.

    ``gross`` is what the draft would bill, with tax; 0 when there is no ceiling or it is kept.
    """
    if draft.case is None or draft.is_credit:
        return NOTHING
    last = with_ceiling(list(draft.case.agreed_works.all()))
    if last is None or last.ceiling is None:
        return NOTHING
    asked = gross + total(gross_left(one) for one in _billed(draft))
    return max(NOTHING, asked - last.ceiling)


def _billed(draft: InvoiceDraft) -> Iterator[Invoice]:
    """What the owner was asked for already, but for the deposits that this draft may deduct."""
    rows = Invoice.objects.filter(case=draft.case).exclude(kind=Kind.CREDIT)
    for one in rows.select_related("deduction"):
        is_open_deposit = one.kind == Kind.DEPOSIT and not hasattr(one, "deduction")
        if one.kind == Kind.INVOICE or (is_open_deposit and draft.kind == Kind.DEPOSIT):
            yield one


def case_problems(draft: InvoiceDraft, doc: InvoiceDoc, gross: Decimal) -> Iterator[str]:
    """What the case holds against issuing the draft, as sentences."""
    if draft.case is None or draft.is_credit:
        return
    above = above_agreed(draft, gross)
    if above and not draft.above_because:
        yield _(
            "With it %(sum)s more is billed than was agreed. Agree on a new estimate, lower it, or "
            "write on the draft under “more than was agreed” who said yes to it, when and how."
        ) % {"sum": money_words(above, doc.currency)}
    if draft.kind == Kind.DEPOSIT:
        yield from _too_late(draft.case)
    else:
        yield from _forgotten(draft)


def case_remarks(draft: InvoiceDraft) -> list[str]:
    """What the case asks to look at, and that stops nothing."""
    return [*_unfinished(draft), *_below_agreed(draft), *billed_twice(draft)]


def _unfinished(draft: InvoiceDraft) -> Iterator[str]:
    if draft.case is None or draft.kind != Kind.INVOICE or draft.delivery_on:
        return
    if draft.case.ended_at is None and not nothing_left(draft.case):
        yield _(
            "Work of this case is not signed off yet, but the invoice states a day on which it "
            "was done. Bill what is done, and type that day."
        )


def _below_agreed(draft: InvoiceDraft) -> Iterator[str]:
    """A price agreed at the counter that no sum before tax comes to."""
    if draft.case is None or draft.kind != Kind.INVOICE:
        return
    rate = max((line.rate_pct for line in draft.lines.all()), default=NOTHING)
    for agreed in draft.case.agreed_works.live():
        net = agreed.net_price_at(rate) if agreed.is_at_a_price else NOTHING
        price = agreed.ceiling or NOTHING
        if net and net + share(net, rate) != price:
            yield _(
                "%(price)s was agreed, tax included. With %(rate)s %% no sum before tax comes to "
                "it; %(nearest)s is the next below."
            ) % {
                "price": money_words(price, agreed.currency),
                "rate": decimal_words(rate),
                "nearest": money_words(net + share(net, rate), agreed.currency),
            }


def billed_twice(draft: InvoiceDraft) -> list[str]:
    """A sentence for each invoice that stands and bills the same work, material or cost."""
    if draft.case is None or draft.kind != Kind.INVOICE:
        return []
    sources = draft.lines.exclude(source="").values("source")
    twin = DraftLine.objects.filter(draft__issued=OuterRef("pk"), source__in=sources)
    rows = Invoice.objects.filter(Exists(twin), case=draft.case, kind=Kind.INVOICE)
    words = _("Invoice %(number)s bills some of the same work or material already.")
    return [words % {"number": one.number} for one in rows if gross_left(one) > 0]


def _too_late(case: Case) -> Iterator[str]:
    """A deposit comes before the invoice that deducts it."""
    for invoice in Invoice.objects.filter(case=case, kind=Kind.INVOICE):
        if gross_left(invoice) > 0:
            yield _(
                "The case was invoiced by %(number)s: a deposit can be asked for no more. Note "
                "what is paid there, and throw this draft away."
            ) % {"number": invoice.number}


def _forgotten(draft: InvoiceDraft) -> Iterator[str]:
    """Deposits of the same case that would be neither deducted nor given back."""
    rows = Invoice.objects.filter(case=draft.case, kind=Kind.DEPOSIT, deduction=None)
    for deposit in rows.exclude(deducting_drafts=draft):
        left = gross_left(deposit)
        if left > 0:
            yield _(
                "Deposit invoice %(number)s of this case, %(sum)s, is not deducted. Tick it on the "
                "draft under “deposits to deduct”, or credit it first."
            ) % {"number": deposit.number, "sum": money_words(left, deposit.currency)}
