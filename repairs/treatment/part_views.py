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
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, needs
from repairs.press.render import render as print_pdf
from repairs.readings.models import Prescription
from repairs.screens.beside import part_of, took
from repairs.treatment import parts as things
from repairs.treatment.bag_label import bag_label as compile_label
from repairs.treatment.models import Intervention
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.part_forms import (
    MATERIAL,
    REMOVED,
    FateForm,
    FollowForm,
    MaterialForm,
    NewPartForm,
    RemovedPartForm,
    followed,
)
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.proof import too_hot_words
from repairs.treatment.refusals import FateRefusedError
from repairs.treatment.show import follow_lines
from repairs.treatment.views import show_work, work_for


def _again(request: SignedInRequest, work: Intervention, wrong: Any, **shown: Any) -> HttpResponse:
    """The work's page with what was typed and what is wrong with it."""
    return show_work(request, work, shown | {"wrong": wrong}, status=422)


@needs("record")
@require_POST
def material_add(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """Note a material used in a work."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    blank = MaterialUse(intervention=row)
    sent = part_of(request, MATERIAL)
    form = MaterialForm(sent, instance=blank, procedure=row.version.procedure, prefix=MATERIAL)
    if not form.is_valid():
        return _again(request, row, form, material_form=form)
    use = things.use_material(form.save(commit=False), by=request.user, at=timezone.now())
    if hot := too_hot_words(use):
        said = _("%(hot)s: hide and bone glue lose their strength above that.") % {"hot": hot}
        messages.warning(request, said)
    took(request, row.get_absolute_url(), f"{MATERIAL}-")
    return redirect(f"{row.get_absolute_url()}#materials")


@needs("record")
@require_POST
def material_back(request: SignedInRequest, number: str, work: int, pk: int) -> HttpResponse:
    """Take such a note back; it stays on record as withdrawn."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    use = get_object_or_404(row.materials.filter(withdrawn_at=None), pk=pk)
    use.intervention = row
    things.take_back_material(use, by=request.user, at=timezone.now())
    messages.success(request, _("“%(name)s” is taken back.") % {"name": use.name})
    return redirect(f"{row.get_absolute_url()}#materials")


@needs("record")
@require_POST
def removed_add(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """Note a part taken off, which goes into a numbered bag."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    blank = RemovedPart(intervention=row, case=case)
    form = RemovedPartForm(part_of(request, REMOVED), instance=blank, case=case, prefix=REMOVED)
    if not form.is_valid():
        return _again(request, row, form, removed_form=form)
    piece = things.remove_part(form.save(commit=False), by=request.user, at=timezone.now())
    messages.success(request, _("It goes in bag %(bag)s: print its label.") % {"bag": piece.bag})
    took(request, row.get_absolute_url(), f"{REMOVED}-")
    return redirect(f"{row.get_absolute_url()}#removed")


def _piece(case: Case, bag: int) -> RemovedPart:
    rows = case.removed_parts.select_related("part__instrument", "intervention", "removed_by")
    piece: RemovedPart = get_object_or_404(rows, number=bag)
    piece.case = case
    return piece


@needs("view")
def bag_page(request: SignedInRequest, number: str, bag: int) -> HttpResponse:
    """The page that the label on a bag leads to, for all who may see the case."""
    case = case_for(request.user, number, to="view")
    piece = _piece(case, bag)
    told = things.papers_naming(piece)
    known = {"fate": piece.fate, "words": piece.fate_words}
    facts = {
        "case": case,
        "piece": piece,
        "form": FateForm(initial=known, is_told=bool(told)),
        "told": told,
        "outdated": things.outdated_by(piece),
    }
    return render(request, "treatment/bag.html", facts)


@needs("record")
@require_POST
def fate(request: SignedInRequest, number: str, bag: int) -> HttpResponse:
    """What became of a removed piece; what may not be thrown away is refused beside the form."""
    case = case_for(request.user, number, to="record", after_end=True)
    piece = _piece(case, bag)
    told = things.papers_naming(piece)
    form = FateForm(request.POST, is_told=bool(told))
    facts: dict[str, Any] = {"case": case, "piece": piece, "form": form, "told": told}
    facts["outdated"] = things.outdated_by(piece)
    status = 422
    if form.is_valid():
        said = form.cleaned_data
        try:
            things.set_fate(piece, **said, by=request.user, at=timezone.now())
        except FateRefusedError as refusal:
            facts["refusal"], status = str(refusal), refusal.status
        else:
            messages.success(request, _("Saved."))
            if told:
                return redirect("treatment:bag", case.number, piece.number)
            return redirect(f"{case.get_absolute_url()}#work")
    return render(request, "treatment/bag.html", facts, status=status)


@needs("view")
def bag_label(request: SignedInRequest, number: str, bag: int) -> HttpResponse:
    """The label for the bag, with the code of its case."""
    case = case_for(request.user, number, to="view")
    piece = _piece(case, bag)
    sheet = compile_label(piece, language=request.LANGUAGE_CODE[:2], made_at=timezone.now())
    answer = HttpResponse(print_pdf(sheet)[0], content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{case.number}-bag-{bag}.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@needs("record")
def new_part(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """A part put in; wood of the store is taken off there with it."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    form = NewPartForm(request.POST or None, instance=NewPart(intervention=row), case=case)
    facts: dict[str, Any] = {"case": case, "work": row, "form": form}
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            things.fit_new_part(
                form.save(commit=False), form.withdrawal(), by=request.user, at=timezone.now()
            )
        except WorkshopError as refusal:
            facts["refusal"], status = str(refusal), 409
        else:
            messages.success(request, _("The new part is noted."))
            return redirect(f"{row.get_absolute_url()}#new-parts")
    return render(request, "treatment/new_part.html", facts, status=status)


@needs("record")
@require_POST
def new_part_back(request: SignedInRequest, number: str, work: int, pk: int) -> HttpResponse:
    """Take a new part back, and its wood into the store with it."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    part = get_object_or_404(
        row.new_parts.filter(withdrawn_at=None).select_related("withdrawal__piece"), pk=pk
    )
    part.intervention = row
    things.take_back_new_part(part, by=request.user, at=timezone.now())
    messages.success(request, _("It is taken back; wood of the store is there again."))
    return redirect(f"{row.get_absolute_url()}#new-parts")


@needs("record")
@require_POST
def follow(request: SignedInRequest, number: str, work: int, prescription: int) -> HttpResponse:
    """By how much a prescription was really followed."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    told = get_object_or_404(
        Prescription.objects.filter(result__reading__case=case), pk=prescription
    )
    blank = MoveDone(intervention=row, prescription=told, unit=told.unit)
    part = followed(told)
    form = FollowForm(part_of(request, part), instance=blank, prefix=part)
    if not form.is_valid():
        return _again(request, row, form, follows=follow_lines(row, form))
    things.follow(form.save(commit=False), by=request.user, at=timezone.now())
    took(request, row.get_absolute_url(), f"{part}-")
    messages.success(request, _("Saved."))
    return redirect(f"{row.get_absolute_url()}#followed")
