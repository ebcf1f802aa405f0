from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib import messages
from django.db.models import Prefetch
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.cases.reasons import HOUSE_REASON
from repairs.findings.actions import something_examined
from repairs.findings.models import Examination, Finding
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, may, needs
from repairs.people.models import House
from repairs.procedures.procedure import caution_words
from repairs.procedures.versions import pin
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.show import changes
from repairs.screens.minutes import understood_words
from repairs.treatment import actions, clocks
from repairs.treatment import agree as agreements
from repairs.treatment.begin_form import BeginForm
from repairs.treatment.forms import (
    AgreeForm,
    DescribeForm,
    DropForm,
    MinutesForm,
    SignForm,
    StepsForm,
    StopForm,
)
from repairs.treatment.models import AgreedWork, Intervention, WorkSpell
from repairs.treatment.proof import held_at_sign_off, proof_of
from repairs.treatment.refusals import ClockError, NotProvedError
from repairs.treatment.show import work_facts
from repairs.treatment.signing import found_outcomes, reading_pairs, sign_off
from repairs.treatment.spent import tally


@needs("agree")
def agree(request: SignedInRequest, number: str) -> HttpResponse:
    """The principal decides: of an instrument of the house, or in an emergency."""
    case = case_for(request.user, number, to="agree")
    is_house = case.reason == HOUSE_REASON
    form = AgreeForm(request.POST or None, case=case, is_house=is_house)
    facts: dict[str, Any] = {"case": case, "form": form, "is_house": is_house}
    facts["look_first"] = is_house and case.step == Case.Step.TAKEN_IN
    if facts["look_first"]:
        facts["looked"] = something_examined(case)
        facts["examination"] = Examination.objects.filter(case=case).first()
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            row = _agree(request, case, form.cleaned_data)
        except WorkshopError as refusal:
            facts["refusal"], status = str(refusal), refusal.status
        else:
            said = {"number": row.number}
            messages.success(request, _("Agreed work %(number)s is noted.") % said)
            return redirect(f"{case.get_absolute_url()}#work")
    return render(request, "treatment/agree.html", facts, status=status)


def _agree(request: SignedInRequest, case: Case, said: dict[str, Any]) -> AgreedWork:
    now = timezone.now()
    version = pin(said["procedure"], at=now)
    wanted = agreements.Wanted(
        version=version, findings=list(said["findings"]), title=said["title"]
    )
    if case.reason != HOUSE_REASON:
        return agreements.agree_emergency(
            case, wanted, because=said["because"], by=request.user, at=now
        )
    house = House.present()
    terms = agreements.Terms(
        basis=AgreedWork.Basis.HOUSE,
        agreed_name=str(request.user),
        because=said["because"],
        hourly_rate=house.hourly_rate,
        currency=house.currency,
        irreversible_agreed=version.procedure.is_irreversible,
    )
    return agreements.agree_house_work(case, [wanted], terms, by=request.user, at=now)[0]


def _agreed(case: Case, agreed: int) -> AgreedWork:
    row: AgreedWork = get_object_or_404(case.agreed_works.select_related("version"), number=agreed)
    row.case = case
    return row


@needs("record")
def begin(request: SignedInRequest, number: str, agreed: int) -> HttpResponse:
    """Cautions first, then which findings and parts; beginning starts the clock."""
    case = case_for(request.user, number, to="record")
    row = _agreed(case, agreed)
    blank = Intervention(case=case, agreed=row)
    findings = row.findings.filter(withdrawn_at=None).select_related("part__instrument")
    form = BeginForm(request.POST or None, instance=blank, findings=findings)
    procedure = row.version.procedure
    facts: dict[str, Any] = {
        "case": case,
        "agreed": row,
        "form": form,
        "procedure": procedure,
        "cautions": caution_words(procedure.cautions),
    }
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            work = _open(request, form)
        except WorkshopError as refusal:
            facts["refusal"], status = str(refusal), refusal.status
        else:
            _start_if_free(request, work)
            return redirect(work)
    return render(request, "treatment/begin.html", facts, status=status)


def _open(request: SignedInRequest, form: BeginForm) -> Intervention:
    said = form.cleaned_data
    return actions.open_work(
        form.save(commit=False),
        findings=list(said["findings"]),
        parts=list(said["parts"]),
        by=request.user,
        at=timezone.now(),
    )


def _start_if_free(request: SignedInRequest, work: Intervention) -> None:
    """Start the clock with the work; one that runs elsewhere is told, the work is begun anyway."""
    try:
        clocks.start_clock(work, by=request.user, at=timezone.now())
    except ClockError as refusal:
        messages.warning(request, str(refusal))
    else:
        messages.success(request, _("The work is begun and your clock runs."))
        _warn_of_ceiling(request, work.case)


def _warn_of_ceiling(request: SignedInRequest, case: Case) -> None:
    """Who starts a clock hears when the sum agreed is reached; to go on is theirs to decide."""
    if warning := tally(case).warning:
        messages.warning(request, warning)


@needs("sign_off")
@require_POST
def drop(request: SignedInRequest, number: str, agreed: int) -> HttpResponse:
    case = case_for(request.user, number, to="sign_off")
    row = _agreed(case, agreed)
    form = DropForm(request.POST)
    if form.is_valid():
        because = form.cleaned_data["because"]
        agreements.drop_work(row, because=because, by=request.user, at=timezone.now())
        messages.success(request, _("It is noted that this will not be done."))
    else:
        messages.error(request, _("Say why it will not be done."))
    return redirect(f"{case.get_absolute_url()}#work")


def work_for(case: Case, number: int) -> Intervention:
    """A work of the case with what its page needs; 404 when there is none."""
    rows = case.interventions.select_related(
        "version", "agreed", "opened_by", "sign_off__by"
    ).prefetch_related(
        Prefetch("spells", WorkSpell.objects.select_related("person")),
        Prefetch("findings", Finding.objects.select_related("part")),
        "materials",
        "step_notes",
        "parts",
    )
    work: Intervention = get_object_or_404(rows, number=number)
    work.case = case
    return work


@needs("view")
def work_page(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    case = case_for(request.user, number, to="view")
    row = work_for(case, work)
    return render(request, "treatment/work.html", work_facts(row, person=request.user))


@needs("record")
@require_POST
def clock(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """Start, pause, resume or stop, as the button says; a clock left on is asked about."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    wanted = request.POST.get("do", "")
    if wanted == "start":
        clocks.start_clock(row, by=request.user, at=timezone.now())
        _warn_of_ceiling(request, case)
        return redirect(row)
    if wanted not in ("pause", "stop"):
        raise Http404
    spell = _spell(row, request)
    if spell is not None:
        asked = _stop(request, row, spell)
        if asked is not None:
            return asked
    if wanted == "stop":
        actions.set_ended(row, True, by=request.user, at=timezone.now())
        if may(request.user, "sign_off"):
            return redirect("treatment:proof", case.number, row.number)
        messages.success(request, _("The work is ended. A luthier proves it and signs it off."))
    return redirect(row)


def _spell(work: Intervention, request: SignedInRequest) -> WorkSpell | None:
    """The clock meant by the button: one's own, or the one that the principal names."""
    running = work.spells.filter(ended_at=None).select_related("person", "intervention__case")
    named = request.POST.get("spell", "")
    if named.isdecimal():
        return running.filter(pk=int(named)).first()
    return running.filter(person=request.user).first()


def _stop(request: SignedInRequest, work: Intervention, spell: WorkSpell) -> HttpResponse | None:
    """Stop the clock, or return the page that asks how long the work took."""
    now = timezone.now()
    typed = "minutes" in request.POST
    form = StopForm(request.POST if typed else None)
    refusal = ""
    if not typed and not clocks.is_left_on(spell, now):
        clocks.stop_clock(spell, by=request.user, at=now)
        return None
    if typed and form.is_valid():
        try:
            minutes = form.cleaned_data["minutes"]
            clocks.stop_clock(spell, by=request.user, at=now, minutes=minutes)
        except ClockError as error:
            refusal = str(error)
        else:
            messages.success(request, understood_words(form["minutes"].value(), minutes))
            return None
    facts = {
        "case": work.case,
        "work": work,
        "spell": spell,
        "form": form,
        "refusal": refusal,
        "wanted": request.POST.get("do"),
    }
    return render(request, "treatment/clock_left.html", facts, status=422)


@needs("record")
def minutes(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    hour_ago = timezone.localtime() - dt.timedelta(hours=1)
    blank = WorkSpell(intervention=row, person=request.user, started_at=hour_ago)
    form = MinutesForm(request.POST or None, instance=blank)
    if request.method == "POST" and form.is_valid():
        spell = clocks.type_minutes(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("The minutes are noted, marked as typed."))
        messages.info(request, understood_words(form["minutes"].value(), spell.minutes))
        return redirect(row)
    facts = {"case": case, "work": row, "form": form}
    return render(request, "treatment/minutes.html", facts)


@needs("record")
@require_POST
def steps(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    form = StepsForm(request.POST, procedure=row.version.procedure, notes=actions.latest_notes(row))
    if form.is_valid():
        notes = form.notes(rest_done="rest" in request.POST)
        actions.note_steps(row, notes, by=request.user, at=timezone.now())
        messages.success(request, _("Saved."))
        return redirect(f"{row.get_absolute_url()}#steps")
    facts = work_facts(row, person=request.user) | {"steps_form": form, "wrong": form}
    return render(request, "treatment/work.html", facts, status=422)


@needs("record")
@require_POST
def describe(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    form = DescribeForm(request.POST, instance=row)
    if form.is_valid():
        actions.describe_work(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Saved."))
        return redirect(f"{row.get_absolute_url()}#told")
    facts = work_facts(row, person=request.user) | {"describe_form": form, "wrong": form}
    return render(request, "treatment/work.html", facts, status=422)


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
