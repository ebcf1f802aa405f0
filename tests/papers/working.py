"""A case on which real work was done: agreed, begun, described, measured and signed off."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields
from decimal import Decimal
from typing import Any

from django.utils import timezone

from repairs.cases.actions import move, write_hand_back
from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.papers.blocks.document import Row
from repairs.papers.blocks.treatment_document import TreatmentReport
from repairs.procedures.versions import pin
from repairs.readings.models import Reading
from repairs.treatment import actions, clocks, signing
from repairs.treatment import parts as things
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.models import AgreedWork, Intervention, SignOff, StepNote, WorkSpell
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from tests import factories
from tests.readings import samples

AGREED = dt.datetime(2026, 11, 21, 10, 0, tzinfo=dt.UTC)
BEFORE = dt.datetime(2026, 11, 21, 15, 0, tzinfo=dt.UTC)
BEGUN = dt.datetime(2026, 11, 22, 8, 0, tzinfo=dt.UTC)
AFTER = dt.datetime(2026, 11, 23, 16, 0, tzinfo=dt.UTC)
SIGNED = dt.datetime(2026, 11, 24, 9, 0, tzinfo=dt.UTC)
CENTS_BEFORE = {1: "1,5", 2: "-9", 3: "8", 4: "12,5", 5: "2"}
CENTS_AFTER = {1: "1,2", 2: "-0,4", 3: "0,7", 4: "1", 5: "1,6"}


def agree(case: Case, key: str, *findings: Finding, by: Any, **terms: Any) -> AgreedWork:
    """A piece of work to which the owner agreed; the case then waits for the bench."""
    said = {
        "basis": AgreedWork.Basis.CONSENT,
        "reference": f"{case.number}/1",
        "agreed_name": case.owner.name,
    } | terms
    wanted = Wanted(version=pin(key, at=AGREED), findings=findings)
    others = [
        Wanted(version=one.version, findings=list(one.findings.all()), title=one.title)
        for one in case.agreed_works.live().filter(interventions=None)
    ]
    rows = write_agreed(case, [*others, wanted], Terms(**said), by=by, at=AGREED)
    case.refresh_from_db()
    for step in (Case.Step.LOOKED_OVER, Case.Step.AGREED):
        if case.path.index(case.step) < case.path.index(step):
            move(case, step, because="", by=by, at=AGREED)
    return rows[-1]


def begin(agreed: AgreedWork, *parts: str, by: Any) -> Intervention:
    case = Case.objects.select_related("instrument").get(pk=agreed.case_id)
    work = Intervention(
        case=case, agreed=agreed, room_t_c=Decimal("18.5"), room_rh_pct=Decimal("48")
    )
    chosen = case.instrument.parts.filter(key__in=parts)
    return actions.open_work(
        work, findings=list(agreed.findings.all()), parts=list(chosen), by=by, at=BEGUN
    )


def tick(work: Intervention, *, by: Any, **otherwise: str) -> None:
    """Every step is done; those that are named were left out, for the reason given."""
    notes = [
        StepNote(
            intervention=work,
            step=step.key,
            state="left_out" if step.key in otherwise else "done",
            words=otherwise.get(step.key, ""),
        )
        for step in work.version.procedure.steps
    ]
    actions.note_steps(work, notes, by=by, at=BEGUN)


def minutes(work: Intervention, count: int, *, by: Any, note: str = "") -> WorkSpell:
    spell = WorkSpell(intervention=work, person=by, started_at=BEGUN, minutes=count, note=note)
    return clocks.type_minutes(spell, by=by, at=BEGUN)


def use(work: Intervention, *, by: Any, **fields: Any) -> MaterialUse:
    said = {
        "name": "hide glue",
        "lot": "Maison Roy, lot 12",
        "amount": Decimal("15"),
        "unit": "g",
        "glue_t_c": Decimal("58"),
    } | fields
    return things.use_material(MaterialUse(intervention=work, **said), by=by, at=BEGUN)


def take_off(work: Intervention, *, by: Any, part: str = "", **fields: Any) -> RemovedPart:
    said = {"description": "old cleat of pine", "position": "under the crack, treble side"} | fields
    row = work.case.instrument.parts.filter(key=part).first()
    piece = RemovedPart(intervention=work, case=work.case, part=row, **said)
    return things.remove_part(piece, by=by, at=BEGUN)


def put_in(work: Intervention, *, by: Any, part: str = "", **fields: Any) -> NewPart:
    said = {
        "description": "three cleats",
        "material": "spruce",
        "origin": NewPart.Origin.MADE,
        "supplier": "offcut of the house",
        "marking": "dated in pencil",
    } | fields
    row = work.case.instrument.parts.filter(key=part).first()
    return things.fit_new_part(NewPart(intervention=work, part=row, **said), None, by=by, at=BEGUN)


def sign(work: Intervention, *, by: Any, words: str = "It holds.") -> Intervention:
    """Sign it off, with a reason for whatever is asked for."""
    reasons = {"photos.before": "not needed", "photos.during": "hands full"}
    reasons |= {"photos.after": "not needed", "asks.climate": "noted in words"}
    reasons |= {"asks.glue_temperature": "cold glue", "steps": "as usual"}
    signing.sign_off(work, reasons=reasons, words=words, by=by, at=SIGNED)
    return Intervention.objects.select_related("sign_off").get(pk=work.pk)


def keys_reading(case: Case, cents: dict[int, str], *, phase: str, by: Any) -> Reading:
    at = BEFORE if phase == "before" else AFTER
    return samples.reading(
        case, by=by, gauge="correction", words=samples.keys(cents), phase=phase, taken_at=at
    )


def worked(case: Case, finding: Finding, *, by: Any) -> Intervention:
    """The crack is glued, with all that belongs to it; the case is then proved."""
    work = begin(agree(case, "loose_bar", finding, by=by), "soundboard", by=by)
    tick(work, by=by)
    minutes(work, 95, by=by)
    use(work, by=by)
    take_off(work, by=by)
    put_in(work, by=by, part="soundboard")
    case.refresh_from_db()
    return sign(work, by=by)


def pictured(case: Case, finding: Finding, *, by: Any) -> None:
    """The same crack and the same front, before and after."""
    for number, (phase, view) in enumerate(
        (("before", "front"), ("after", "front"), ("arrival", "damage"), ("return", "damage")), 20
    ):
        photo = factories.photo(
            case, by=by, data=factories.jpeg(seed=number), phase=phase, view=view
        )
        if view == "damage":
            factories.tag(photo, finding, by=by)


def write_down(row: HandBack, *, by: Any) -> HandBack:
    return write_hand_back(row, by=by, at=timezone.now())


def finish(tuned: Intervention, armand: Any, **left_out: str) -> SignOff:
    """The tangents are moved, measured again and signed off with a reason for the rest."""
    tick(tuned, by=armand, **left_out)
    keys_reading(tuned.case, CENTS_AFTER, phase="after", by=armand)
    samples.reading(tuned.case, by=armand, gauge="action", phase="after", taken_at=AFTER)
    reasons = dict.fromkeys(("after.action", "after.correction", "steps"), "good enough for now")
    reasons |= {f"photos.{phase}": "none needed" for phase in ("before", "during", "after")}
    return signing.sign_off(tuned, reasons=reasons, words="", by=armand, at=SIGNED)


def rows_of(body: TreatmentReport) -> dict[str, Row]:
    """Every point of the report, wherever it stands."""
    found: dict[str, Row] = {}
    for field in fields(body):
        value = getattr(body, field.name)
        if isinstance(value, tuple):
            found |= {row.key: row for row in value if isinstance(row, Row)}
    return found


def open_work(case: Case, finding: Finding, by: Any) -> Intervention:
    """A loose bar of the soundboard, begun."""
    return begin(agree(case, "loose_bar", finding, by=by), "soundboard", by=by)
