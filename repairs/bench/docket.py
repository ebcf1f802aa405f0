"""The case page: everything about one case, in the order of the work, in few queries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms import Form

from repairs.bench.passed import log_lines, strip
from repairs.bench.readings import reading_lines, rounds, setup_facts
from repairs.bench.shown import first, shown_photos
from repairs.cases.entries import GROUPS as OF_CASES
from repairs.cases.forms import LIES, WAITS, PlaceForm, WaitForm
from repairs.cases.models import Case
from repairs.estimates.state import docket_facts
from repairs.findings.look_models import Examination, PartLook
from repairs.findings.models import Finding
from repairs.instruments.kinds import material_label
from repairs.instruments.protection import Needs, needs_of
from repairs.invoices.show import billing_facts
from repairs.invoices.taxing import tax_of
from repairs.papers.blocks.pictures import unbound_tags
from repairs.papers.kinds import paper_offers
from repairs.people.house_models import House
from repairs.photos.models import Photo, views_taken
from repairs.photos.pairs import view_pairs
from repairs.press.models import Paper
from repairs.readings.measured import answered, questions
from repairs.screens.entries import facts as facts_shown
from repairs.treatment.part_models import NewPart
from repairs.treatment.show import Plan, plan_of

FRONT = "front"

NOT_SHOWN = (Photo.State.REFUSED, Photo.State.FAILED)


@dataclass(frozen=True)
class Protected:
    """A protected material in the instrument: where it is, and what it needs."""

    material: str
    parts: list[str]
    needs: Needs


def docket(case: Case, whole: str = "") -> dict[str, Any]:
    """Gather what the case page shows; ``whole`` is the key of a list to be shown to its end."""
    photos, findings, looks = _of_case(case)
    return {
        "case": case,
        "strip": strip(case),
        **_photo_facts(case, photos, whole),
        **_finding_facts(case, findings, whole),
        **_look_facts(case, looks),
        **_reading_facts(case, whole),
        "plan": plan_of(case, tax_of(House.present(), case.owner).rate_pct),
        "protected": protected_in(case),
        "offers": paper_offers(case),
        "papers": first("papers", _papers(case), whole),
        **_desk_facts(case),
        **docket_facts(case),
        **billing_facts(case),
    }


def _of_case(case: Case) -> tuple[list[Photo], list[Finding], list[PartLook]]:
    """Its photos, findings and looks; each knows its case already, and asks nothing anew."""
    photos = list(case.photos.ready())
    findings = list(case.findings.present())
    looks = list(case.looks.select_related("part"))
    for photo in photos:
        photo.case = case
    for look in looks:
        look.part.instrument = case.instrument
    for finding in findings:
        finding.part.instrument, finding.case = case.instrument, case
    return photos, findings, looks


def face_of(photos: Sequence[Photo]) -> Photo | None:
    """The photo by which a case is known: its front before work, else the first of all."""
    fronts = [photo for photo in photos if photo.view == FRONT]
    return next(iter(fronts or photos), None)


def _photo_facts(case: Case, photos: list[Photo], whole: str) -> dict[str, Any]:
    """The photos, the views that the kind of instrument still wants, and files refused."""
    taken = views_taken(photos)
    return {
        "photos": shown_photos(first("photos", photos, whole)),
        "face": face_of(photos),
        "pairs": view_pairs(photos),
        "missing_views": [
            view
            for view in case.instrument.pattern.views
            if view.required and view.slug not in taken
        ],
        "refused": list(case.photos.filter(state__in=NOT_SHOWN, withdrawn_at=None)),
    }


def _finding_facts(case: Case, findings: list[Finding], whole: str) -> dict[str, Any]:
    """What was found, and what of it a reading of the same survey puts in question."""
    return {
        "all_findings": findings,
        "findings": first("findings", findings, whole),
        "asked": questions(case, findings),
        "answered": answered(case) if findings else [],
    }


def _reading_facts(case: Case, whole: str) -> dict[str, Any]:
    """What was measured, and in which rounds."""
    lines = reading_lines(case)
    return {
        "all_readings": lines,
        "readings": first("readings", lines, whole),
        "rounds": rounds(case),
        **setup_facts(case),
    }


def _on_page(form: Form) -> Form:
    """Its fields belong to the one form of the page, from wherever they stand in it."""
    for field in form.fields.values():
        field.widget.attrs["form"] = "case"
    return form


def _desk_facts(case: Case) -> dict[str, Any]:
    """What the counter asks for: what was noted at intake, who had it, where it stands."""
    return {
        "intake_facts": list(facts_shown(case, OF_CASES, "page")),
        "custody": list(case.custody.select_related("noted_by")),
        "log": log_lines(case),
        "wait_form": _on_page(
            WaitForm(initial={"waits_for": case.waits_for, "note": case.waits_note}, prefix=WAITS)
        ),
        "place_form": _on_page(PlaceForm(initial={"place": case.place}, prefix=LIES)),
    }


def _look_facts(case: Case, looks: list[PartLook]) -> dict[str, Any]:
    """How far the looking over has come."""
    return {
        "looked": sum(1 for look in looks if look.state == PartLook.State.LOOKED),
        "not_examined": [k for k in looks if k.state == PartLook.State.NOT_EXAMINED],
        "examination": Examination.objects.filter(case=case).select_related("examiner").first(),
        "unbound": unbound_tags(case),
    }


def _papers(case: Case) -> list[Paper]:
    rows = Paper.objects.filter(subject=case.log_key)
    return list(rows.select_related("issued_by", "replaced_by").order_by("-issued_at"))


def protected_in(case: Case) -> list[Protected]:
    """What stands under protection in the instrument, old and new parts, by material."""
    found: dict[str, list[str]] = {}
    for part in case.instrument.parts.exclude(material=""):
        part.instrument = case.instrument
        found.setdefault(part.material, []).append(part.label())
    new = NewPart.objects.filter(intervention__case=case, withdrawn_at=None)
    for piece in new:
        found.setdefault(piece.material, []).append(piece.description)
    rows = [(material, parts, needs_of(material)) for material, parts in found.items()]
    return [
        Protected(material_label(material), parts, needs)
        for material, parts, needs in rows
        if needs
    ]


def next_action(docket: Mapping[str, Any], plan: Plan) -> str:
    """Name the room in which the obvious next step is done; empty when nothing is left."""
    case: Case = docket["case"]
    if case.ended_at is not None:
        return ""
    if plan.next_to_prove is not None:
        return "proof"
    if plan.next_to_begin is not None or (plan.lines and case.step != Case.Step.PROVED):
        return "work"
    if case.step in (Case.Step.PROVED, Case.Step.REPORTED):
        return "return"
    return _before_work(case, docket)


def _before_work(case: Case, docket: Mapping[str, Any]) -> str:
    """Photos, findings, the look over; then the report, the estimate, or the house's own word."""
    if not docket["photos"]:
        return "photos"
    if not docket["findings"] and not docket["looked"] and not docket["not_examined"]:
        return "findings"
    if case.step == Case.Step.TAKEN_IN:
        return "look"
    if Case.Step.REPORTED in case.path:
        return "report"
    if not docket["may_have_estimate"]:
        return "agree"
    return "decide" if docket["estimate"] else "estimate"
