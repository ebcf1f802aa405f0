"""Plays the bench: works under their procedures, minutes, things in and out, proof, sign-off."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from repairs.audit.actions import deed
from repairs.cases import actions as case_actions
from repairs.cases.models import Case
from repairs.demo.cast import Cast, Row, moment, room, with_decimals
from repairs.demo.look import shots_of, tag_place, take_photos, take_reading
from repairs.people.models import User
from repairs.photos.models import Tag
from repairs.readings.models import Prescription, Reading
from repairs.treatment import actions, clocks
from repairs.treatment import parts as things
from repairs.treatment.models import AgreedWork, Intervention, StepNote, WorkSpell
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.signing import sign_off
from repairs.wood.models import Piece, Withdrawal

WORK_PHASES = ("during", "after")


def work_on(cast: Cast, stay: Row, case: Case) -> None:
    """Play each agreed work that is not begun, all of it or nothing, then photograph the result."""
    for said in stay["works"]:
        agreed = case.agreed_works.live().get(version__key=said["procedure"])
        if not agreed.interventions.exists():
            with deed():
                _move_in_shop(cast, stay, case)
                _work(cast, said, agreed)
            cast.tell(case, f"{said['procedure']}: worked on")
    take_photos(cast, stay["subject"], case, WORK_PHASES)
    _tag_again(cast, stay, case)
    if "waits" in stay and not case.waits_for:
        at, *waits = stay["waits"]
        case_actions.wait(case, *waits, by=cast.head, at=moment(at))


def _move_in_shop(cast: Cast, stay: Row, case: Case) -> None:
    if "place" in stay:
        at, place = stay["place"]
        case_actions.put_in_place(case, place, by=cast.people["armand"], at=moment(at))


def _work(cast: Cast, said: Row, agreed: AgreedWork) -> None:
    case, by = agreed.case, cast.people[said["by"]]
    for reading in said.get("before", []):
        take_reading(case, {**reading, "phase": Reading.Phase.BEFORE}, by=by)
    work = actions.open_work(
        Intervention(case=case, agreed=agreed, words=said["words"], **room(said["room"])),
        findings=list(agreed.findings.all()),
        parts=list(case.instrument.parts.filter(key__in=said["parts"])),
        by=by,
        at=moment(said["opened_at"]),
    )
    _minutes(cast, said, work)
    at = moment(said["ended_at"] or said["clocked"][-1][2])
    _things(said, work, by=by, at=at)
    for code, amount in said.get("followed", []):
        _follow(work, code, amount, by=by, at=at)
    for reading in said.get("after", []):
        take_reading(case, {**reading, "phase": Reading.Phase.AFTER}, by=by)
    actions.note_steps(work, _steps(said, work), by=by, at=at)
    if said["ended_at"]:
        actions.set_ended(work, True, by=by, at=at)


def _minutes(cast: Cast, said: Row, work: Intervention) -> None:
    for who, start, end in said["clocked"]:
        spell = clocks.start_clock(work, by=cast.people[who], at=moment(start))
        clocks.stop_clock(spell, by=cast.people[who], at=moment(end))
    for who, start, minutes, note in said.get("typed", []):
        spell = WorkSpell(
            intervention=work,
            person=cast.people[who],
            started_at=moment(start),
            minutes=minutes,
            note=note,
        )
        end = moment(start) + dt.timedelta(minutes=minutes)
        clocks.type_minutes(spell, by=cast.people[who], at=end)


def _things(said: Row, work: Intervention, *, by: User, at: dt.datetime) -> None:
    parts = {part.key: part for part in work.case.instrument.parts.all()}
    for row in said.get("materials", []):
        fields = with_decimals(row, "amount", "glue_t_c", "price")
        things.use_material(MaterialUse(intervention=work, **fields), by=by, at=at)
    for row in said.get("removed", []):
        fields = {key: value for key, value in row.items() if key not in ("part", "removed_at")}
        piece = RemovedPart(intervention=work, part=parts[row["part"]], **fields)
        things.remove_part(piece, by=by, at=moment(row["removed_at"]))
    for row in said.get("new_parts", []):
        _new_part(row, NewPart(intervention=work, part=parts[row["part"]]), by=by, at=at)


def _new_part(row: Row, part: NewPart, *, by: User, at: dt.datetime) -> None:
    part.description, part.marking = row["description"], row["marking"]
    if "wood" not in row:
        part.material, part.origin, part.supplier = row["material"], row["origin"], row["supplier"]
        things.fit_new_part(part, None, by=by, at=at)
        return
    number, sizes = row["wood"]
    length, width, thickness = (Decimal(size) for size in sizes)
    cut = Withdrawal(
        piece=Piece.objects.get(number=number),
        length_mm=length,
        width_mm=width,
        thickness_mm=thickness,
    )
    part.origin = NewPart.Origin.WOOD_STORE
    things.fit_new_part(part, cut, by=by, at=at)


def _follow(work: Intervention, code: str, amount: float, *, by: User, at: dt.datetime) -> None:
    told = Prescription.objects.filter(code=code, result__reading__case=work.case).latest("pk")
    done = MoveDone(intervention=work, prescription=told, amount=amount, unit=told.unit)
    things.follow(done, by=by, at=at)


def _steps(said: Row, work: Intervention) -> list[StepNote]:
    """What is said of each step; one of which nothing is said was done as written."""
    notes = []
    for step in work.version.procedure.steps:
        state, words = StepNote.State.DONE, ""
        if step.key in said.get("otherwise", {}):
            state, words = StepNote.State.OTHERWISE, said["otherwise"][step.key]
        elif step.key in said.get("left_out", {}):
            state, words = StepNote.State.LEFT_OUT, said["left_out"][step.key]
        elif step.key not in said.get("done", [step.key]):
            continue
        notes.append(StepNote(step=step.key, state=state, words=words))
    return notes


def _tag_again(cast: Cast, stay: Row, case: Case) -> None:
    """Point at the same findings on the photos of the work and after it."""
    shots, by = shots_of(stay["subject"], is_found=False), cast.people["armand"]
    findings = {finding.number: finding for finding in case.findings.all()}
    for scene, spots in stay.get("seen_after", {}).items():
        shot = shots[scene]
        if Tag.objects.filter(photo__case=case, photo__sent_name=shot.name).exists():
            continue
        at = moment(shot.taken_at.isoformat()) + dt.timedelta(minutes=30)
        for number, spot in spots:
            tag_place(case, shot, spot, findings[number], by=by, at=at)


def prove(cast: Cast, stay: Row, case: Case) -> None:
    """Sign off what is done, with the stated reasons; the last one moves the case to “proved”."""
    if "signed" not in stay:
        return
    by, at = cast.people[stay["signed"]["by"]], moment(stay["signed"]["at"])
    reasons = {said["procedure"]: said.get("reasons", {}) for said in stay["works"]}
    for work in case.interventions.filter(sign_off=None).select_related("version"):
        sign_off(work, reasons=reasons[work.version.key], words="", by=by, at=at)
    case.refresh_from_db()
