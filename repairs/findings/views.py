from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.findings import actions
from repairs.findings.forms import FindingForm
from repairs.findings.look_forms import ExaminationForm, LooksForm
from repairs.findings.look_models import Examination
from repairs.findings.models import Finding
from repairs.findings.rest import SIDES, rest_of
from repairs.instruments.scales import scale_label
from repairs.people.access import SignedInRequest, may, needs
from repairs.screens.refusals import ChangedMeanwhileError


@needs("record")
def finding_add(request: SignedInRequest, number: str) -> HttpResponse:
    """Note what was seen on a part. For those who record."""
    case = case_for(request.user, number, to="record")
    initial = {"part": request.GET.get("part"), "urgency": 3}
    form = FindingForm(request.POST or None, instance=Finding(case=case), initial=initial)
    if request.method == "POST" and form.is_valid():
        finding = actions.add_finding(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Finding %(number)s is noted.") % {"number": finding.number})
        if "another" in request.POST:
            return redirect("findings:add", case.number)
        return redirect(f"{case.get_absolute_url()}#findings")
    return render(request, "findings/form.html", {"case": case, "form": form})


@needs("record")
def finding_edit(request: SignedInRequest, number: str, finding: int) -> HttpResponse:
    """Change a finding; when somebody else was faster, both versions stand side by side."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(case.findings.select_related("part__instrument"), number=finding)
    row.case = case
    form = FindingForm(request.POST or None, instance=row)
    facts = {"case": case, "form": form, "finding": row}
    if request.method == "POST" and form.is_valid():
        seen = form.cleaned_data["seen"] or 0
        try:
            actions.change_finding(
                form.save(commit=False), seen=seen, by=request.user, at=timezone.now()
            )
        except ChangedMeanwhileError as refusal:
            theirs = get_object_or_404(case.findings.all(), number=finding)
            form.data = _seeing(request.POST, theirs.revision)
            facts |= {"refusal": str(refusal), "theirs": theirs, "finding": theirs}
            return render(request, "findings/form.html", facts, status=409)
        messages.success(request, _("Finding %(number)s is saved.") % {"number": finding})
        return redirect(f"{case.get_absolute_url()}#findings")
    return render(request, "findings/form.html", facts)


def _seeing(typed: QueryDict, revision: int) -> QueryDict:
    """What was typed, now based on the revision that the person is being shown."""
    data = typed.copy()
    data["seen"] = str(revision)
    return data


@needs("record")
@require_POST
def finding_withdraw(request: SignedInRequest, number: str, finding: int) -> HttpResponse:
    """Take a finding back that was an error; its number is never given again."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(case.findings.present(), number=finding)
    actions.set_withdrawn(row, True, by=request.user, at=timezone.now())
    return render(request, "findings/withdrawn.html", {"case": case, "finding": row})


@needs("record")
@require_POST
def finding_restore(request: SignedInRequest, number: str, finding: int) -> HttpResponse:
    """Let a withdrawn finding stand again."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(case.findings.all(), number=finding)
    actions.set_withdrawn(row, False, by=request.user, at=timezone.now())
    messages.success(request, _("Finding %(number)s is back.") % {"number": finding})
    return redirect(f"{case.get_absolute_url()}#findings")


@needs("record")
def parts_looked_at(request: SignedInRequest, number: str) -> HttpResponse:
    """Certify by side that all else was examined, or go over it part by part. Who records."""
    case = case_for(request.user, number, to="record")
    parts = actions.parts_to_look_at(case)
    form = LooksForm(request.POST or None, case=case, parts=parts)
    if request.method == "POST" and form.is_valid():
        rest = request.POST.get("rest", "")
        looks = form.looks(
            examined=[side for side in SIDES if side == rest],
            inside_unseen=rest == "inside_unseen",
        )
        actions.note_looks(case, looks, by=request.user, at=timezone.now())
        messages.success(request, _("Saved."))
        if rest and any(half.count for half in rest_of(case, parts)):
            return redirect("findings:parts", case.number)
        return redirect(f"{case.get_absolute_url()}#findings")
    facts = {"case": case, "form": form, "halves": rest_of(case, parts)}
    return render(request, "findings/looks.html", facts)


@needs("record")
def look_over(request: SignedInRequest, number: str) -> HttpResponse:
    """The general judgement of the case."""
    case = case_for(request.user, number, to="record")
    known = Examination.objects.filter(case=case).first()
    row = known or Examination(
        case=case,
        examiner=request.user,
        examined_on=timezone.localdate(),
        room_t_c=case.room_t_c,
        room_rh_pct=case.room_rh_pct,
    )
    row.case = case
    form = ExaminationForm(request.POST or None, instance=row)
    facts = {"case": case, "form": form}
    if request.method == "POST" and form.is_valid():
        try:
            saved = _save_judgement(request, form)
        except ChangedMeanwhileError as refusal:
            theirs = Examination.objects.get(case=case)
            form.data = _seeing(request.POST, theirs.revision)
            facts |= {"refusal": str(refusal), "saved": form.saved_otherwise(theirs)}
            return render(request, "findings/look_over.html", facts, status=409)
        messages.success(request, _("Saved."))
        return _after_judgement(request, saved, ticked=form.cleaned_data["hazards"])
    return render(request, "findings/look_over.html", facts)


def _save_judgement(request: SignedInRequest, form: ExaminationForm) -> Examination:
    return actions.save_examination(
        form.save(commit=False),
        seen=form.cleaned_data["seen"] or 0,
        by=request.user,
        at=timezone.now(),
        evidence=form.evidence,
    )


def _after_judgement(
    request: SignedInRequest, saved: Examination, *, ticked: list[str]
) -> HttpResponse:
    """Back to the case; whoever left out a hazard that stands is asked why it should be lifted."""
    case = saved.case
    left_out = [scale_label("hazards", key) for key in saved.hazards if key not in ticked]
    if not left_out:
        return redirect(f"{case.get_absolute_url()}#findings")
    said = {"hazards": ", ".join(left_out)}
    if may(request.user, "examine"):
        words = _("This stays with the instrument until it is lifted: %(hazards)s. Say here why.")
        messages.warning(request, words % said)
        return redirect("instruments:hazards", case.instrument.number)
    words = _(
        "This stays with the instrument: %(hazards)s. "
        "Only a luthier or the principal lifts it, with a reason."
    )
    messages.warning(request, words % said)
    return redirect(f"{case.get_absolute_url()}#findings")


@needs("examine")
@require_POST
def finish_look(request: SignedInRequest, number: str) -> HttpResponse:
    """Say that the looking over is done; the case goes on. For those who examine."""
    case = case_for(request.user, number, to="examine")
    actions.finish_look(case, by=request.user, at=timezone.now())
    messages.success(request, _("The case is looked over."))
    return redirect(case)
