from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases import actions, compile
from repairs.cases.access import case_for
from repairs.cases.forms import LIES, WAITS, IntakeForm, PlaceForm, WaitForm
from repairs.cases.models import Case
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.cases.reasons import HOUSE_REASON
from repairs.cases.receipt import issue_receipt
from repairs.instruments.hazards import fill_standing
from repairs.instruments.models import Instrument
from repairs.language.text import spoken
from repairs.people.access import SignedInRequest, needs
from repairs.people.models import Client
from repairs.press.models import Paper
from repairs.press.render import render as print_pdf
from repairs.screens.beside import part_of, took

LAST_OWNERS = 4  # the page is one screen of a phone


@needs("take_in")
def choose_instrument(request: SignedInRequest) -> HttpResponse:
    """First step of taking in: find the instrument or its owner, or enter them."""
    words = request.GET.get("q", "").strip()
    facts: dict[str, Any] = {"words": words}
    if words:
        found = list(Instrument.objects.matching(words).select_related("owner")[:20])
        fill_standing(found, [one.pk for one in found])
        facts |= {
            "instruments": found,
            "clients": Client.objects.matching(words)[:20],
        }
    else:
        facts["clients"] = Client.objects.order_by("-created_at")[:LAST_OWNERS]
    return render(request, "cases/choose.html", facts)


@needs("take_in")
def take_in(request: SignedInRequest, instrument: str) -> HttpResponse:
    """Take an instrument in: the owner's words, what came with it, what is allowed meanwhile."""
    row = get_object_or_404(Instrument.objects.select_related("owner"), number=instrument)
    initial: dict[str, Any] = {
        "received_at": timezone.localtime(),
        "received_items": row.accessories,
        "leave_decided_by": row.owner.name,
    }
    if row.owner.kind == Client.Kind.HOUSE:
        initial["reason"] = HOUSE_REASON
    blank = Case(instrument=row, owner=row.owner, insured_value=row.declared_value)
    form = IntakeForm(request.POST or None, instance=blank, initial=initial)
    still_here = row.cases.open().first()
    if request.method == "POST" and form.is_valid():
        case = actions.receive(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(
            request,
            _("Case %(number)s is open. Next: the photos, then the receipt.")
            % {"number": case.number},
        )
        return redirect(case)
    facts = {"form": form, "instrument": row, "still_here": still_here}
    return render(request, "cases/intake.html", facts)


@needs("take_in")
def case_edit(request: SignedInRequest, number: str) -> HttpResponse:
    """Put the intake right while the case goes on; papers already issued keep what they said."""
    case = case_for(request.user, number, to="take_in")
    form = IntakeForm(request.POST or None, instance=case)
    if request.method == "POST" and form.is_valid():
        actions.change_intake(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Saved. Papers already issued keep what they said."))
        return redirect(case)
    facts = {"form": form, "instrument": case.instrument, "case": case}
    return render(request, "cases/intake.html", facts)


@needs("record")
@require_POST
def case_wait(request: SignedInRequest, number: str) -> HttpResponse:
    """Note what the case waits for, or that it goes on again."""
    case = case_for(request.user, number, to="record")
    form = WaitForm(part_of(request, WAITS), prefix=WAITS)
    if form.is_valid():
        took(request, case.get_absolute_url(), f"{WAITS}-")
        said = form.cleaned_data
        actions.wait(case, said["waits_for"], said["note"], by=request.user, at=timezone.now())
    for problem in form.errors.values():
        messages.error(request, str(problem[0]))
    return redirect(case)


@needs("record")
@require_POST
def case_place(request: SignedInRequest, number: str) -> HttpResponse:
    """Note where the instrument lies; also after its end, while it stands in stock."""
    case = case_for(request.user, number, to="record", after_end=True)  # as it lies in stock
    form = PlaceForm(part_of(request, LIES), prefix=LIES)
    if form.is_valid():
        took(request, case.get_absolute_url(), f"{LIES}-")
        actions.put_in_place(case, form.cleaned_data["place"], by=request.user, at=timezone.now())
        messages.success(request, _("The place is noted."))
    else:
        messages.error(request, _("Say where it lies now, in at most 80 characters."))
    return redirect(case)


@needs("receipt")
def receipt(request: SignedInRequest, number: str) -> HttpResponse:
    """Shows exactly what will be issued, then issues it."""
    case = case_for(request.user, number, to="receipt")
    language = _language(request, case)
    now = timezone.now()
    current = Paper.objects.current(INTAKE_RECEIPT, case.log_key)
    if request.method == "POST":
        paper = issue_receipt(case, language=language, by=request.user, at=now)
        messages.success(request, _("%(title)s is issued.") % {"title": paper.title})
        return redirect("papers:detail", paper.uuid)
    sheet = compile.intake_receipt(case, language=language, made_at=now)
    facts = {
        "case": case,
        "sheet": sheet,
        "body": sheet.body,
        "language": language,
        "current": current,
    }
    return render(request, "cases/receipt.html", facts)


def _language(request: SignedInRequest, case: Case) -> str:
    wanted = request.POST.get("language") or request.GET.get("language") or case.owner.language
    return spoken(wanted)


@needs("see_prices")
def receipt_preview(request: SignedInRequest, number: str) -> HttpResponse:
    """The intake receipt as it would be printed now; it has no seal and binds nobody."""
    case = case_for(request.user, number, to="view")
    sheet = compile.intake_receipt(case, language=_language(request, case), made_at=timezone.now())
    return _pdf(print_pdf(sheet)[0], f"{case.number}-preview.pdf")


@needs("view")
def label(request: SignedInRequest, number: str) -> HttpResponse:
    """The label to hang on the instrument, with the code that opens its case."""
    case = case_for(request.user, number, to="view")
    sheet = compile.case_label(case, language=request.LANGUAGE_CODE[:2], made_at=timezone.now())
    return _pdf(print_pdf(sheet)[0], f"{case.number}-label.pdf")


def _pdf(data: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
