"""Reads all that an invoice rests on: at most a dozen queries, however much was billed before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.db.models import Q
from django.utils import timezone

from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.invoices.codes import Kind
from repairs.invoices.deals import deal_with
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.facts import Credited, Facts, InvoiceLeft, OfCase
from repairs.invoices.models import Invoice, operation_of
from repairs.invoices.remaining import groups_left_of, lines_left
from repairs.invoices.years import closing_of
from repairs.law.mentions import mentions_on
from repairs.people.house_models import House
from repairs.treatment.models import SignOff
from repairs.treatment.signing import nothing_left
from repairs.treatment.spent import with_ceiling


def facts_of(draft: InvoiceDraft, at: dt.datetime) -> Facts:
    """What the draft would be issued from at that moment, as the tables stand.

    Inside the transaction that issues, to be called after ``crediting`` and ``deposits`` hold the
    rows that it rests on.
    """
    day, house, client = timezone.localtime(at).date(), House.present(), draft.client
    rows = tuple(draft.lines.all())
    invoices = () if draft.is_credit else _invoices(draft, rows)
    credited = _credited(draft)
    ticked = [one for one in invoices if one.is_ticked]
    supplied_on = _supplied_on(draft, day)
    tax_day = _tax_day(draft, supplied_on) or day
    return Facts(
        draft=draft,
        house=house,
        client=client,
        day=day,
        tax_day=tax_day,
        deal=deal_with(house, client, tax_day),
        mentions=mentions_on(house.country, day, to_business=client.is_business),
        supplied_on=supplied_on,
        rows=rows,
        deposits=tuple(sorted(ticked, key=lambda one: (one.invoice.issued_on, one.invoice.pk))),
        credited=credited,
        case_number=draft.case.number if draft.case else "",
        case=None if draft.is_credit else _of_case(draft, invoices),
        is_closed=closing_of(day.year) is not None,
    )


def _invoices(draft: InvoiceDraft, rows: Sequence[DraftLine]) -> tuple[InvoiceLeft, ...]:
    """The deposits that the draft deducts, and all that was invoiced of its case."""
    ticked = set(draft.deposits.values_list("pk", flat=True))
    wanted = Q(pk__in=ticked)
    if draft.case_id is not None:  # without a case it would be every invoice that has none
        wanted |= Q(case=draft.case_id) & ~Q(kind=Kind.CREDIT)
    found = list(Invoice.objects.filter(wanted).select_related("deduction").defer("content"))
    left, same = groups_left_of(found), _that_bill_the_same(draft, found, rows)
    return tuple(
        InvoiceLeft(
            invoice=one,
            groups=left[one.pk],
            is_deducted=hasattr(one, "deduction"),
            is_ticked=one.pk in ticked,
            bills_same=one.pk in same,
        )
        for one in found
    )


def _that_bill_the_same(
    draft: InvoiceDraft, invoices: Sequence[Invoice], rows: Sequence[DraftLine]
) -> set[int]:
    """Keys of those that bill work, material or a cost which a line of the draft names."""
    if draft.kind != Kind.INVOICE:
        return set()
    sources = {row.source for row in rows if row.source}
    twins = DraftLine.objects.filter(draft__issued__in=invoices, source__in=sources)
    return set(twins.values_list("draft__issued", flat=True))


def _credited(draft: InvoiceDraft) -> Credited | None:
    if draft.credits is None:
        return None
    invoice = draft.credits
    return Credited(
        invoice=invoice,
        groups=groups_left_of([invoice])[invoice.pk],
        lines=lines_left(invoice),
        operation=operation_of(invoice),
    )


def _supplied_on(draft: InvoiceDraft, day: dt.date) -> dt.date | None:
    """When the work was done: as typed, or the return, or the last sign-off, or ``day``.

    A deposit is asked before anything is supplied: None. A credit note states what its invoice
    stated.
    """
    if draft.kind == Kind.DEPOSIT:
        return None
    if draft.credits is not None:
        return _stated(draft.credits, "delivery_on")
    return draft.delivery_on or (done_on(draft.case) if draft.case else None) or day


def tax_day_of(draft: InvoiceDraft, day: dt.date) -> dt.date:
    """The day whose law decides on the taxes of the draft, as it stands on that day."""
    return _tax_day(draft, _supplied_on(draft, day)) or day


def _stated(invoice: Invoice, name: str) -> dt.date | None:
    """A day as the invoice states it."""
    said = invoice.content.get(name)
    return dt.date.fromisoformat(said) if said else None


def _tax_day(draft: InvoiceDraft, supplied_on: dt.date | None) -> dt.date | None:
    """The chargeable event, whose law decides: the supply (directive 2006/112/EC, articles 63 and
    93; CGI 269-1 a), of a deposit its payment (article 65), of a credit note what it corrects.

    None where that is not known yet: then it is the day of issue.
    """
    if draft.kind == Kind.DEPOSIT:
        return draft.delivery_on
    if draft.credits is None:
        return supplied_on
    return supplied_on or _stated(draft.credits, "paid_on") or draft.credits.issued_on


def done_on(case: Case) -> dt.date | None:
    """The day of the return to the owner, or of the last sign-off; None before both."""
    returned = HandBack.objects.filter(case=case).exclude(done_at=None).last()
    if returned is not None:
        return timezone.localtime(returned.returned_at).date()
    signed = SignOff.objects.filter(intervention__case=case).order_by("at").last()
    return timezone.localtime(signed.at).date() if signed is not None else None


def _of_case(draft: InvoiceDraft, invoices: Sequence[InvoiceLeft]) -> OfCase | None:
    case = draft.case
    if case is None:
        return None
    works = list(case.agreed_works.all())
    last = with_ceiling(works)
    return OfCase(
        ceiling=last.ceiling if last else None,
        prices=tuple(one for one in works if one.stands and one.is_at_a_price),
        invoices=tuple(one for one in invoices if one.invoice.case_id == case.pk),
        is_unfinished=_is_unfinished(draft, case),
    )


def _is_unfinished(draft: InvoiceDraft, case: Case) -> bool:
    """Asked only of an invoice that states no day: a typed day says that it bills what is done."""
    if draft.kind != Kind.INVOICE or draft.delivery_on or case.ended_at is not None:
        return False
    return not nothing_left(case)
