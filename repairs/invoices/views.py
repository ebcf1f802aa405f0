"""Screens of a draft: open, change, look at, issue; and the draft of a credit note."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.einvoice.document import InvoiceDoc
from repairs.einvoice.totals import totals_of
from repairs.invoices import actions
from repairs.invoices.access import invoice_for
from repairs.invoices.case_checks import case_remarks
from repairs.invoices.codes import Kind, quantity_words, rate_words
from repairs.invoices.compile import invoice_sheet, seller_remarks
from repairs.invoices.doubts import draft_doubts
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.facts import Facts
from repairs.invoices.forms import LINE_FIELDS, DraftForm, LineFormSet
from repairs.invoices.from_case import draft_of_case
from repairs.invoices.gathering import facts_of, tax_day_of
from repairs.invoices.issuing import fingerprint, issue_invoice, proposed
from repairs.invoices.lacks import house_lacks, problems_of
from repairs.invoices.lawful import offered
from repairs.invoices.tax_remarks import remarks_of
from repairs.invoices.taxing import tax_of
from repairs.language.refusal import WorkshopError
from repairs.language.text import decimal_words
from repairs.law.rates import rates_on
from repairs.people.access import SignedInRequest, needs
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.press.render import render as print_pdf
from repairs.screens.refusals import ChangedMeanwhileError

OPENED = (Kind.INVOICE.value, Kind.DEPOSIT.value)


@needs("bill")
def draft_add(request: SignedInRequest) -> HttpResponse:
    """Choose whom to bill; or, from a case or a client, open the draft at once."""
    words = request.GET.get("q", "").strip()
    if request.method == "POST":
        return redirect(_opened(request))
    clients = Client.objects.matching(words).exclude(kind=Client.Kind.HOUSE)
    facts = {"words": words, "clients": clients[:20] if words else clients[:8]}
    return render(request, "invoices/draft_add.html", facts)


def _kind_asked(request: SignedInRequest) -> str:
    """A key that says the case already says the kind in its address."""
    return request.POST.get("kind", "") or request.GET.get("kind", "")


def _opened(request: SignedInRequest) -> InvoiceDraft:
    number, wanted = request.POST.get("case", ""), _kind_asked(request)
    kind = wanted if wanted in OPENED else Kind.INVOICE.value
    now = timezone.now()
    if not number:
        client = get_object_or_404(Client, pk=_whole(request.POST, "client"))
        return actions.open_draft(client, kind=kind, by=request.user, at=now)
    case = case_for(request.user, number, to="bill")
    return draft_of_case(case, kind=kind, by=request.user, at=now)


def _whole(said: Any, name: str) -> int:
    """A key that was sent; 0, which nothing has, for what is no number."""
    words = said.get(name, "")
    return int(words) if words.isascii() and words.isdigit() else 0


def _draft(pk: int) -> InvoiceDraft:
    rows = InvoiceDraft.objects.open().select_related("client", "case", "credits")
    return get_object_or_404(rows, pk=pk)


@needs("bill")
def draft_edit(request: SignedInRequest, draft: int) -> HttpResponse:
    """The page of a draft; when somebody saved meanwhile, theirs is shown beside it."""
    row, theirs = _draft(draft), list[str]()
    form, lines = _draft_forms(request, row)
    if request.method == "POST" and form.is_valid() and lines.is_valid():
        try:
            _save(request, row, form, lines)
        except WorkshopError as refusal:
            form.add_error(None, str(refusal))
            if isinstance(refusal, ChangedMeanwhileError):
                row = _draft(draft)
                form.see(row.revision)
                theirs = [_line_words(line) for line in row.lines.all()]
        else:
            return redirect("invoices:issue" if "preview" in request.POST else row, row.pk)
    house = House.present()
    rates = rates_on(house.country, tax_day_of(row, timezone.localdate()))
    facts = {"draft": row, "form": form, "lines": lines, "house": house, "rates": rates}
    facts |= {"theirs": theirs, **_sums(row)}
    return render(request, "invoices/draft.html", facts)


def _line_words(line: DraftLine) -> str:
    price = decimal_words(line.unit_price)
    return f"{line.description}, {quantity_words(line.unit, line.quantity)} × {price}"


def _draft_forms(request: SignedInRequest, row: InvoiceDraft) -> tuple[DraftForm, Any]:
    house, saved = House.present(), list(row.lines.all())
    day = tax_day_of(row, timezone.localdate())
    usual = tax_of(house, row.client, day)
    kept = {usual.category, *(line.category for line in saved)}
    taxes = offered(house, row.client, day, kept)
    said = request.POST if request.method == "POST" else None
    initial = [{name: getattr(line, name) for name in LINE_FIELDS} for line in saved]
    own = {"usual": usual, "taxes": taxes, "currency": house.currency}
    lines = LineFormSet(said, initial=initial, prefix="lines", form_kwargs=own)
    return DraftForm(said, instance=row), lines


def _save(request: SignedInRequest, row: InvoiceDraft, form: DraftForm, lines: Any) -> None:
    actions.change_draft(
        form.save(commit=False),
        lines.kept(),
        form.cleaned_data.get("deposits") or [],
        by=request.user,
        at=timezone.now(),
    )
    messages.success(request, _("The draft is saved."))


def _sums(row: InvoiceDraft) -> dict[str, Any]:
    """The sums of what is saved, or why there are none."""
    facts = facts_of(row, timezone.now())
    if not facts.rows:
        return {"problems": []}
    try:
        doc = document_of(facts, number="")
        totals = totals_of(doc)
        sums = [(rate_words(group.category, group.rate_pct), group) for group in totals.groups]
        return {"totals": totals, "groups": sums, **_to_look_at(facts, doc)}
    except WorkshopError as refusal:
        return {"problems": [str(refusal)]}


def _to_look_at(facts: Facts, doc: InvoiceDoc) -> dict[str, Any]:
    """What stands in the way of issuing, and what deserves a second look and stops nothing."""
    remarks = [*remarks_of(facts, doc), *draft_doubts(facts, doc), *case_remarks(facts)]
    return {
        "problems": problems_of(facts, doc),
        "house_lacks": house_lacks(doc),
        "remarks": [*remarks, *seller_remarks(doc.seller)],
    }


@needs("bill")
@require_POST
def draft_discard(request: SignedInRequest, draft: int) -> HttpResponse:
    """Throw the draft away."""
    actions.discard_draft(_draft(draft), by=request.user, at=timezone.now())
    messages.success(request, _("The draft is thrown away. It had no number."))
    return redirect("invoices:money")


@needs("bill")
def draft_issue(request: SignedInRequest, draft: int) -> HttpResponse:
    """Shows exactly what will be issued, then issues it."""
    row = _draft(draft)
    if request.method == "POST":
        invoice = issue_invoice(
            row, shown=request.POST.get("shown", ""), by=request.user, clock=timezone.now
        )
        messages.success(request, _("%(number)s is issued.") % {"number": invoice.number})
        return redirect(invoice)
    now = timezone.now()
    facts = facts_of(row, now)
    doc = proposed(facts, now)
    sheet = invoice_sheet(doc, made_at=now)
    shown = {
        "draft": row,
        "sheet": sheet,
        "body": sheet.body,
        "shown": fingerprint(doc),
        **_to_look_at(facts, doc),
    }
    return render(request, "invoices/issue.html", shown)


@needs("bill")
def draft_preview(request: SignedInRequest, draft: int) -> HttpResponse:
    """The PDF as it would be issued; its number binds nobody."""
    now = timezone.now()
    doc = proposed(facts_of(_draft(draft), now), now)
    data, _pages = print_pdf(invoice_sheet(doc, made_at=now))
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="preview.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@needs("bill")
@require_POST
def credit(request: SignedInRequest, invoice: str) -> HttpResponse:
    """Open the draft of a credit note with all that is left to credit."""
    draft = actions.open_credit(invoice_for(invoice), by=request.user, at=timezone.now())
    return redirect(draft)
