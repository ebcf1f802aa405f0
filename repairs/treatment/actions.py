"""Verbs of the bench: begin a piece of work, describe it, tick its steps, end it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.db.models import Max
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.cases.actions import move
from repairs.cases.because import WORK_BEGUN
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.instruments.part_models import Part
from repairs.people.models import User
from repairs.treatment.asfound import check_as_found, first_untouched
from repairs.treatment.models import AgreedWork, Intervention, SignOff, StepNote
from repairs.treatment.refusals import IrreversibleError, NotAgreedError, WorkClosedError


@deed()
def open_work(
    work: Intervention,
    *,
    findings: Sequence[Finding],
    parts: Sequence[Part],
    by: User,
    at: dt.datetime,
) -> Intervention:
    """Begin agreed work on parts, answering findings; the case goes on the bench with it.

    Raises NotAgreedError when the agreement does not stand or does not cover a finding,
    IrreversibleError when what cannot be undone was not agreed to as such, AsFoundMissingError
    when an original part would be changed that is not on record as it was found.
    """
    # First of all: an owner who withdraws now comes before or after.
    case = locked_case(work.case_id)
    agreed = AgreedWork.objects.select_related("version").get(pk=work.agreed_id)
    _check_agreed(case, agreed, findings)
    _check_irreversible(case, agreed, parts)
    check_as_found(case, agreed.version.procedure, parts)
    last = case.interventions.aggregate(last=Max("number"))["last"] or 0
    work.number = last + 1
    work.version = agreed.version
    work.opened_at, work.opened_by = at, by
    work.save()
    work.findings.set(findings)
    work.parts.set(parts)
    _to_the_bench(case, work, by, at)
    record(by, "work.opened", case, at=at, work=work.number, agreed=agreed.number)
    return work


def _to_the_bench(case: Case, work: Intervention, by: User, at: dt.datetime) -> None:
    """The first work takes the case there, and so does one that is begun after the proof."""
    if case.step in (Case.Step.AGREED, Case.Step.PROVED):
        because = WORK_BEGUN % {"number": work.number}
        move(case, Case.Step.ON_BENCH, because=because, by=by, at=at)


def _check_agreed(case: Case, agreed: AgreedWork, findings: Sequence[Finding]) -> None:
    if agreed.case_id != case.pk or not agreed.stands:
        raise NotAgreedError(what=_("“%(work)s”, which no longer stands") % {"work": agreed})
    if case.ended_at is not None:
        raise NotAgreedError(what=_("work on an instrument that has gone"))
    # Begun twice, its hours would count twice against one ceiling.
    if agreed.interventions.filter(sign_off=None).exists():
        raise NotAgreedError(what=_("a second beginning of “%(work)s”") % {"work": agreed})
    covered = set(agreed.findings.values_list("pk", flat=True))
    foreign = [str(one.number) for one in findings if one.pk not in covered]
    if foreign:
        raise NotAgreedError(what=_("finding %(numbers)s") % {"numbers": ", ".join(foreign)})


def _check_irreversible(case: Case, agreed: AgreedWork, parts: Sequence[Part]) -> None:
    """A rim that was turned cannot be turned back: its owner agrees to just that, or it stays.

    The house decides alone about its own instruments; of a later replacement nothing old is lost.
    """
    procedure = agreed.version.procedure
    if not procedure.is_irreversible or agreed.irreversible_agreed:
        return
    if agreed.basis == AgreedWork.Basis.HOUSE:
        return
    part = first_untouched(case, procedure, parts)
    if part is not None:
        raise IrreversibleError(
            work=str(procedure), part=part.label(), originality=part.originality_label
        )


def check_open(work: Intervention) -> None:
    """Raise WorkClosedError when the work is signed off: what it says no longer changes.

    The case stays locked until the end of the deed, as it is by whoever signs off; what the caller
    holds may have been read before that.
    """
    locked_case(work.case_id)
    signed = SignOff.objects.filter(intervention=work).first()
    if signed is not None:
        day = date_format(localtime(signed.at), "DATE_FORMAT")
        raise WorkClosedError(number=work.number, day=day)


@deed()
def describe_work(work: Intervention, *, by: User, at: dt.datetime) -> Intervention:
    """Keep words and room climate."""
    check_open(work)
    work.save(update_fields=["words", "room_t_c", "room_rh_pct"])
    record(by, "work.described", work.case, at=at, work=work.number)
    return work


@deed()
def note_steps(
    work: Intervention, notes: Sequence[StepNote], *, by: User, at: dt.datetime
) -> list[StepNote]:
    """Add a row for each step of which something new is said; earlier rows stay beside it."""
    check_open(work)
    known = latest_notes(work)
    fresh = []
    for note in notes:
        was = known.get(note.step) or StepNote(state=StepNote.State.OPEN)
        # A page sent again says nothing new; only a change is a note, so that the list of notes can
        # be read as what happened.
        if (was.state, was.words) == (note.state, note.words):
            continue
        note.intervention, note.by, note.at = work, by, at
        note.save()
        fresh.append(note)
    if fresh:
        record(by, "step.noted", work.case, at=at, work=work.number, steps=len(fresh))
    return fresh


@deed()
def tap_step(work: Intervention, note: StepNote, *, by: User, at: dt.datetime) -> bool:
    """Note what one tap said of a step, however often the phone sends it; whether it was new.

    ``note.at`` is the moment of the tap: what waited on a phone is held against what was said of
    the step before it, and does not outdo what somebody said since.
    """
    check_open(work)
    if note.tap is not None and StepNote.objects.filter(tap=note.tap).exists():
        return False
    note.at = min(max(note.at, work.opened_at), at)
    # Asked anew: two people may stand at one work, and the page of the one is older than the tap
    # of the other.
    earlier = StepNote.objects.filter(intervention=work, step=note.step, at__lte=note.at)
    was = earlier.order_by("at", "pk").last() or StepNote(state=StepNote.State.OPEN)
    if (was.state, was.words) == (note.state, note.words):
        return False
    note.intervention, note.by = work, by
    note.save()
    record(by, "step.noted", work.case, at=at, work=work.number, steps=1)
    return True


def latest_notes(work: Intervention) -> dict[str, StepNote]:
    """What was said last of each step, by when it was said and not by when it came in."""
    rows = sorted(work.step_notes.all(), key=lambda note: (note.at, note.pk))
    return {note.step: note for note in rows}


@deed()
def set_ended(work: Intervention, ended: bool, *, by: User, at: dt.datetime) -> None:
    """Say that the work is done and waits for its proof, or that it goes on."""
    check_open(work)
    if ended == (work.ended_at is not None):
        return
    work.ended_at = at if ended else None
    work.save(update_fields=["ended_at"])
    if ended:
        record(by, "work.ended", work.case, at=at, work=work.number)
    else:
        record(by, "work.resumed", work.case, at=at, work=work.number)
