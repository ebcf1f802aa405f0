from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.cases.reasons import HOUSE_REASON
from repairs.findings.actions import something_examined
from repairs.findings.look_models import Examination
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, needs
from repairs.people.house_models import House
from repairs.procedures.procedure import caution_words
from repairs.procedures.versions import pin
from repairs.screens.beside import part_of, took
from repairs.treatment import actions, clocks
from repairs.treatment import agree as agreements
from repairs.treatment.begin_form import BeginForm
from repairs.treatment.clock_views import warn_of_ceiling
from repairs.treatment.forms import (
    AgreeForm,
    DropForm,
)
from repairs.treatment.models import AgreedWork, Intervention
from repairs.treatment.refusals import ClockError


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
        warn_of_ceiling(request, work.case)


@needs("sign_off")
@require_POST
def drop(request: SignedInRequest, number: str, agreed: int) -> HttpResponse:
    """Give up an agreed work, with the reason; it stays on record as agreed."""
    case = case_for(request.user, number, to="sign_off")
    row = _agreed(case, agreed)
    part = f"drop-{row.number}"
    form = DropForm(part_of(request, part), prefix=part)
    if form.is_valid():
        took(request, case.get_absolute_url(), f"{part}-")
        because = form.cleaned_data["because"]
        agreements.drop_work(row, because=because, by=request.user, at=timezone.now())
        messages.success(request, _("It is noted that this will not be done."))
    else:
        messages.error(request, _("Say why it will not be done."))
    return redirect(f"{case.get_absolute_url()}#work")
