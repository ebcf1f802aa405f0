"""Verbs of looking over: note a finding, change it, note what was looked at, judge the whole."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from django.utils.formats import date_format
from django.utils.timezone import localtime

from repairs.audit.actions import deed, record
from repairs.cases.actions import move
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.findings.look_models import Examination, PartLook
from repairs.findings.models import Finding, FindingTag
from repairs.findings.refusals import NothingExaminedError
from repairs.instruments.hazard_actions import Known, note_hazards
from repairs.instruments.hazard_models import HazardNoted
from repairs.instruments.part_models import Part
from repairs.people.models import User
from repairs.photos import actions as photo_actions
from repairs.photos.models import Tag
from repairs.screens.refusals import ChangedMeanwhileError


@deed()
def add_finding(finding: Finding, *, by: User, at: dt.datetime) -> Finding:
    """Give the next number of the case; the part counts as looked at from now on."""
    case = locked_case(finding.case_id)
    # Counted on the case, not as the largest plus one: the number of a withdrawn finding stands in
    # papers and must not come back as another.
    finding.number = case.next_finding
    case.next_finding += 1
    case.save(update_fields=["next_finding"])
    finding.changed_at, finding.changed_by = at, by
    finding.save()
    _count_as_looked(finding)
    record(
        by,
        "finding.noted",
        finding.case,
        at=at,
        finding=finding.number,
        term=finding.term,
        severity=finding.severity,
    )
    return finding


@deed()
def change_finding(finding: Finding, *, seen: int, by: User, at: dt.datetime) -> Finding:
    """Save the finding, if it is still at the revision that the person saw.

    Raises ChangedMeanwhileError when somebody else saved it first; nothing is written then.
    """
    locked_case(finding.case_id)
    _check_revision(Finding.objects.get(pk=finding.pk), seen)
    finding.revision = seen + 1
    finding.changed_at, finding.changed_by = at, by
    finding.save()
    _count_as_looked(finding)
    record(
        by,
        "finding.changed",
        finding.case,
        at=at,
        finding=finding.number,
        term=finding.term,
        severity=finding.severity,
    )
    return finding


def _check_revision(present: Finding | Examination, seen: int) -> None:
    if present.revision != seen:
        when = date_format(localtime(present.changed_at), "DATETIME_FORMAT")
        raise ChangedMeanwhileError(who=present.changed_by, when=when)


def _count_as_looked(finding: Finding) -> None:
    PartLook.objects.update_or_create(
        case=finding.case, part=finding.part, defaults={"state": PartLook.State.LOOKED, "why": ""}
    )


@deed()
def set_withdrawn(finding: Finding, withdrawn: bool, *, by: User, at: dt.datetime) -> None:
    """Withdraw a finding, or put it back; its number is not given to another either way."""
    locked_case(finding.case_id)
    finding.withdrawn_at = at if withdrawn else None
    finding.revision += 1
    finding.changed_at, finding.changed_by = at, by
    finding.save(update_fields=["withdrawn_at", "revision", "changed_at", "changed_by"])
    verb = "finding.withdrawn" if withdrawn else "finding.put_back"
    record(by, verb, finding.case, at=at, finding=finding.number)


@deed()
def draw_tag(tag: Tag, finding: Finding | None, *, at: dt.datetime) -> Tag:
    """Keep a new tag, bound to the finding when there is one: both or neither.

    One that has arrived before, by the name of its tap, is given back in its stead.
    """
    locked_case(tag.photo.case_id)
    known = Tag.objects.filter(photo=tag.photo, tap=tag.tap).first() if tag.tap else None
    if known is not None:
        return known
    photo_actions.draw_tag(tag, at=at)
    if finding is not None:
        bind_tag(tag, finding, by=tag.drawn_by, at=at)
    return tag


@deed()
def bind_tag(tag: Tag, finding: Finding | None, *, by: User, at: dt.datetime) -> None:
    """Bind the tag to a finding of the same case, or make it a draft again."""
    locked_case(tag.photo.case_id)
    if finding is None:
        FindingTag.objects.filter(tag=tag).delete()
    else:
        FindingTag.objects.update_or_create(tag=tag, defaults={"finding": finding})
    number = finding.number if finding else None
    record(by, "tag.bound", tag.photo.case, at=at, tag=tag.pk, finding=number)


@deed()
def note_looks(
    case: Case, looks: Mapping[int, tuple[str, str]], *, by: User, at: dt.datetime
) -> None:
    """Keep, for each part's id, its state and why; an empty state forgets the part again.

    A part with a finding is not forgotten: it was looked at.
    """
    locked_case(case.pk)
    found = set(case.findings.present().values_list("part_id", flat=True))
    for part, (state, why) in looks.items():
        if state:
            PartLook.objects.update_or_create(
                case=case, part_id=part, defaults={"state": state, "why": why}
            )
        elif part not in found:
            PartLook.objects.filter(case=case, part_id=part).delete()
    record(by, "parts.looked_at", case, at=at, parts=len(looks))


@deed()
def save_examination(
    examination: Examination,
    *,
    seen: int,
    by: User,
    at: dt.datetime,
    evidence: str = HazardNoted.Evidence.SUSPECTED,
) -> Examination:
    """Save the general judgement. Raises ChangedMeanwhileError as ``change_finding`` does.

    A hazard that is ticked for the first time is put on the instrument, with its ``evidence``.
    One that stands there already stays in the judgement, ticked or not: only ``lift_hazard``
    takes it down.
    """
    locked_case(examination.case_id)
    _check_judgement(examination, seen)
    examination.hazards = _hazards_noted(examination, evidence, by=by, at=at)
    examination.revision = seen + 1
    examination.changed_at, examination.changed_by = at, by
    examination.save()
    record(
        by,
        "examination.saved",
        examination.case,
        at=at,
        grade=examination.overall_grade,
        urgency=examination.urgency,
    )
    return examination


def _check_judgement(examination: Examination, seen: int) -> None:
    # The first saving has nothing to compare with; of two who opened the blank form the second
    # finds the first one's row.
    present = Examination.objects.filter(case=examination.case_id).first()
    if present is not None:
        _check_revision(present, seen)


def _hazards_noted(
    examination: Examination, evidence: str, *, by: User, at: dt.datetime
) -> list[str]:
    """Put the ticked hazards on the instrument, where they outlive the stay."""
    known = Known(evidence, examination.hazards_note, examination.case.number)
    instrument = examination.case.instrument
    return note_hazards(instrument, examination.hazards, known, by=by, at=at)


@deed()
def finish_look(case: Case, *, by: User, at: dt.datetime) -> None:
    """Move the case to “looked over”. Raises NothingExaminedError when no part was looked at."""
    locked_case(case.pk)
    if not something_examined(case):
        raise NothingExaminedError(number=case.number)
    move(case, Case.Step.LOOKED_OVER, because="", by=by, at=at)


def something_examined(case: Case) -> bool:
    """Whether any part was looked at or anything was found."""
    looked = case.looks.filter(state=PartLook.State.LOOKED)
    return looked.exists() or case.findings.present().exists()


def parts_to_look_at(case: Case) -> list[Part]:
    """All parts of the instrument, each knowing the instrument, in the order of the tree."""
    parts = list(case.instrument.parts.all())
    for part in parts:
        part.instrument = case.instrument
    return parts
