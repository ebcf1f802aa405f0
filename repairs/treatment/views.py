from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db.models import Prefetch
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.people.access import SignedInRequest, needs
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.show import changes
from repairs.treatment import actions
from repairs.treatment.forms import (
    DescribeForm,
    SignForm,
    StepsForm,
)
from repairs.treatment.held import held_at_sign_off
from repairs.treatment.models import Intervention, WorkSpell
from repairs.treatment.proof import proof_of
from repairs.treatment.refusals import NotProvedError
from repairs.treatment.show import work_facts
from repairs.treatment.signing import found_outcomes, reading_pairs, sign_off


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
    """One piece of work: clock, steps, materials, parts, readings, proof. Every role."""
    case = case_for(request.user, number, to="view")
    row = work_for(case, work)
    return render(request, "treatment/work.html", work_facts(row, person=request.user))


@needs("record")
@require_POST
def steps(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """Note what became of the steps."""
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
    """Keep the words and the air of the work."""
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
