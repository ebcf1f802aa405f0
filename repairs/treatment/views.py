from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.db.models import Prefetch
from django.http import HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, may, needs
from repairs.readings.bench_card import cards_of
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.show import changes
from repairs.screens.beside import took
from repairs.treatment import actions
from repairs.treatment.forms import DescribeForm, SignForm, TapForm
from repairs.treatment.held import held_at_sign_off
from repairs.treatment.models import Intervention, StepNote, WorkSpell
from repairs.treatment.proof import proof_of
from repairs.treatment.refusals import NotProvedError
from repairs.treatment.rooms import rooms_of
from repairs.treatment.show import readings_before, work_facts
from repairs.treatment.signing import found_outcomes, reading_pairs, sign_off
from repairs.treatment.steps import after, step_lines

TAP_KEY = "state:"


def work_for(case: Case, number: int) -> Intervention:
    """A work of the case with what its page needs; 404 when there is none."""
    rows = case.interventions.select_related(
        "version", "agreed", "opened_by", "sign_off__by"
    ).prefetch_related(
        Prefetch("spells", WorkSpell.objects.select_related("person")),
        Prefetch("findings", Finding.objects.select_related("part")),
        "materials",
        Prefetch("step_notes", StepNote.objects.select_related("by")),
        "parts",
    )
    work: Intervention = get_object_or_404(rows, number=number)
    work.case = case
    return work


def show_work(
    request: SignedInRequest,
    work: Intervention,
    shown: dict[str, Any] | None = None,
    *,
    status: int = 200,
    **asked: Any,
) -> HttpResponse:
    """The page of the work; ``shown`` are forms that were refused, ``asked`` is about its steps."""
    writes = may(request.user, "record") and not work.is_signed and work.case.ended_at is None
    # Who only reads has no step in hand.
    asked["is_list"] = asked.get("is_list", False) or not writes
    facts = work_facts(work, person=request.user, **asked) | {"writes": writes} | (shown or {})
    facts["rooms"] = rooms_of(facts)
    return render(request, "treatment/work.html", facts, status=status)


@needs("view")
def work_page(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """One piece of work: clock, steps, materials, parts, readings, proof. Every role."""
    case = case_for(request.user, number, to="view")
    row = work_for(case, work)
    wanted, is_list = request.GET.get("step", ""), "list" in request.GET
    return show_work(request, row, wanted=wanted, is_list=is_list)


def _steps_json(request: SignedInRequest, work: Intervention) -> JsonResponse:
    """How the steps stand now, and a fresh guard: a phone that waited may hold an old one."""
    lines = step_lines(work, request.user)
    return JsonResponse({"steps": [one.as_json() for one in lines], "csrf": get_token(request)})


@needs("view")
def step_states(request: SignedInRequest, number: str, work: int) -> JsonResponse:
    """What was said of each step, for a page that is open while somebody else works too."""
    case = case_for(request.user, number, to="view")
    return _steps_json(request, work_for(case, work))


@needs("record")
@require_POST
def steps(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """Note what a tap says of a step, and go on to the next; a script is answered in JSON."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    if "rest" in request.POST:
        return _rest_done(request, row)
    is_script = request.accepts("application/json") and not request.accepts("text/html")
    form = TapForm(_tapped(request), steps=row.version.procedure.steps)
    if not form.is_valid():
        return _wrong_tap(request, row, form, is_script=is_script)
    if form.cleaned_data["who"] not in (None, request.user.pk):
        said = _("These taps are another person’s. Sign in as them, then they are sent.")
        return JsonResponse({"error": said}, status=401)
    at = timezone.now()
    try:
        actions.tap_step(row, form.note(at), by=request.user, at=at)
    except WorkshopError as refusal:
        if not is_script:
            raise
        return JsonResponse({"error": str(refusal)}, status=refusal.status)
    took(request, row.get_absolute_url(), _words_of(form.cleaned_data))
    row = work_for(case, work)
    if is_script:
        return _steps_json(request, row)
    return redirect(f"{row.get_absolute_url()}{_where_next(request, row, form)}")


def _tapped(request: SignedInRequest) -> dict[str, Any]:
    """What a tap says: as the script sends it, or as the key of the page does by its name."""
    said = request.POST.dict()
    for name in said:
        if name.startswith(TAP_KEY):
            told = {"step": name.removeprefix(TAP_KEY), "state": said[name]}
            return told | {"words": said.get(_words_of(told), "")}
    return said


def _words_of(told: Mapping[str, Any]) -> str:
    """The name of the field for the words of a step that went another way."""
    return f"{told['state']}-{told['step']}-words"


def _where_next(request: SignedInRequest, work: Intervention, form: TapForm) -> str:
    """Where the hands go next: to the list they came from, or to the step that follows."""
    if "list" in request.POST:
        return "?list=1#steps"
    if form.cleaned_data["state"] == StepNote.State.OPEN:
        return f"?step={form.cleaned_data['step']}#steps"
    following = after(step_lines(work, request.user), form.cleaned_data["step"])
    return f"?step={following.step.key}#steps" if following else "#steps"


def _wrong_tap(
    request: SignedInRequest, work: Intervention, form: TapForm, *, is_script: bool
) -> HttpResponse:
    said = " ".join(str(one) for every in form.errors.values() for one in every)
    if is_script:
        return JsonResponse({"error": said}, status=422)
    typed = {"said": said, "state": form["state"].value(), "words": form["words"].value()}
    shown = {"step_problem": typed}
    return show_work(request, work, shown, status=422, wanted=form["step"].value() or "")


def _rest_done(request: SignedInRequest, work: Intervention) -> HttpResponse:
    """Of whatever was not told yet, say that it was done as written."""
    notes = [
        StepNote(step=one.step.key, state=StepNote.State.DONE)
        for one in step_lines(work, request.user)
        if one.is_open
    ]
    actions.note_steps(work, notes, by=request.user, at=timezone.now())
    messages.success(request, _("Saved."))
    return redirect(f"{work.get_absolute_url()}#steps")


@needs("view")
def work_card(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """What the last readings before the work ask the hands to do, to be ticked or printed."""
    case = case_for(request.user, number, to="view")
    row = work_for(case, work)
    cards = [card for reading in readings_before(row) for card in cards_of(reading)]
    return render(request, "treatment/card.html", {"case": case, "work": row, "cards": cards})


@needs("record")
@require_POST
def describe(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """Keep the words and the air of the work."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    form = DescribeForm(request.POST, instance=row)
    if form.is_valid():
        actions.describe_work(form.save(commit=False), by=request.user, at=timezone.now())
        took(request, row.get_absolute_url(), *form.fields)
        messages.success(request, _("Saved."))
        return redirect(f"{row.get_absolute_url()}#told")
    return show_work(request, row, {"describe_form": form, "wrong": form}, status=422)


@needs("sign_off")
def proof(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """What the procedure asks for and how it stands; a luthier signs when it is all there."""
    is_read = request.method == "GET"
    case = case_for(request.user, number, to="sign_off", after_end=is_read)
    row = work_for(case, work)
    held = held_at_sign_off(row) if row.is_signed else proof_of(row)
    form = SignForm(request.POST or None, held=held)
    facts: dict[str, Any] = {"case": case, "work": row, "held": held, "form": form}
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            sign_off(
                row,
                reasons=form.reasons(),
                words=form.cleaned_data["words"],
                by=request.user,
                at=timezone.now(),
            )
        except NotProvedError as refusal:
            facts["refusal"], status = str(refusal), 409
        else:
            messages.success(request, _("Work %(number)s is signed off.") % {"number": row.number})
            return redirect(f"{case.get_absolute_url()}#proof")
    facts["outcomes"] = row.achieved.all() if row.is_signed else found_outcomes(row)
    facts["pairs"] = [
        (before, after, sheet_of(after.gauge).label, changes(before, after))
        for before, after in reading_pairs(row)
    ]
    facts["running"] = row.spells.filter(ended_at=None).select_related("person")
    return render(request, "treatment/proof.html", facts, status=status)
