"""Verbs on a case: take in, change, move to a step, wait, move in the shop."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone

from repairs.audit.actions import deed, record
from repairs.audit.level import took
from repairs.cases.access import require_going_on
from repairs.cases.custody_models import CaseSeries, Custody, StepMove
from repairs.cases.entries import INTAKE_FIELDS
from repairs.cases.hand_back_models import HandBack
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.cases.numbers import CASES, written
from repairs.cases.refusals import CustodyError, IntakeClosedError, StepOrderError
from repairs.instruments.actions import note_accessories
from repairs.language.text import folded
from repairs.people.models import User


@deed()
def take_in(case: Case, *, by: User, at: dt.datetime) -> Case:
    """Give the next number of the year and open the chain of custody.

    The number, the first step and the first link of custody are saved together or not at all, so
    that a year's numbers have no gap.
    """
    case.year = timezone.localtime(case.received_at).year
    # On New Year's morning two counters may make the row at once; the unique year lets one of them
    # make it, and both then queue for the lock.
    CaseSeries.objects.get_or_create(year=case.year)
    series = CaseSeries.objects.select_for_update().get(year=case.year)
    series.last += 1
    series.save(update_fields=["last"])
    took(CASES, case.year, number=series.last)
    # The sequence sorts; the number is for eyes and labels.
    case.sequence, case.number = series.last, written(case.year, series.last)
    case.received_by = by
    # The owner of that day: an instrument that is sold later does not take its old stays along.
    case.owner_id = case.instrument.owner_id
    case.save()
    StepMove.objects.create(case=case, step=case.step, at=case.received_at, by=by)
    Custody.objects.create(
        case=case,
        holder=Custody.Holder.WORKSHOP,
        place=case.place,
        since=case.received_at,
        noted_by=by,
    )
    record(by, "case.taken_in", case, at=at, number=case.number, reason=case.reason)
    return case


@deed()
def receive(case: Case, *, by: User, at: dt.datetime) -> Case:
    """Take in, and keep what came with the instrument as its own where that was not known."""
    take_in(case, by=by, at=at)
    note_accessories(case.instrument, case.received_items, by=by, at=at)
    return case


@deed()
def change_intake(case: Case, *, by: User, at: dt.datetime) -> Case:
    """Mend what was typed at intake; papers already issued keep what they said.

    Another place is a move inside the shop, so that the chain of custody says it too. Raises
    IntakeClosedError when the case has ended, also a moment ago by somebody else.
    """
    require_going_on(locked_case(case.pk), IntakeClosedError)
    place = case.place
    # Put back first, so that only ``put_in_place`` ever changes it and custody tells the same.
    case.place = Case.objects.values_list("place", flat=True).get(pk=case.pk)
    case.save(update_fields=[*INTAKE_FIELDS, "folded_words"])
    _begin_at(case)
    if place != case.place:
        put_in_place(case, place, by=by, at=at)
    hashed = {"owner_words": case.owner_words, "bringer": case.bringer_name}
    record(by, "case.changed", case, at=at, hashed=hashed)
    return case


def _begin_at(case: Case) -> None:
    """The first link of custody and the first step begin when the instrument was received."""
    link, step = case.custody.first(), case.moves.first()
    if link is not None and (link.until is None or link.until >= case.received_at):
        link.since = case.received_at
        link.save(update_fields=["since"])
    if step is not None:
        step.at = case.received_at
        step.save(update_fields=["at"])


@deed()
def move(case: Case, step: str, *, because: str, by: User, at: dt.datetime) -> None:
    """Move the case to a step of its path. Forward one by one, or back with a reason.

    Raises StepOrderError when the step is not on the path, is jumped to, or when a step back has
    no reason. The room whose act makes the move checks its own conditions and calls this in its
    own transaction.
    """
    locked = locked_case(case.pk)
    if step not in _reachable(locked, because):
        _refuse_step(locked, step)
    _set_step(case, locked, step, because, by=by, at=at)


def _reachable(case: Case, because: str) -> list[str]:
    """The next step of the path, or any of its ends after the last; with a reason those behind."""
    path = case.path
    place = path.index(case.step) if case.step in path else 0
    ahead = path[place + 1 : place + 2]
    # At the end of the path stand several doors: home, into stock, back unworked.
    if ahead == path[-1:]:
        ahead = case.endings
    return [*ahead, *(path[:place] if because else [])]


def _refuse_step(case: Case, step: str) -> None:
    raise StepOrderError(
        number=case.number, present=case.get_step_display(), wanted=Case.Step(step).label
    )


def _set_step(
    case: Case, locked: Case, step: str, because: str, *, by: User, at: dt.datetime
) -> None:
    """Write the step to the locked row, and to the one that the caller holds."""
    ended_at = at if step in locked.endings else None
    # Both: the caller goes on with the row in hand, and must not save an old step over the new one.
    for row in (case, locked):
        row.step, row.ended_at = step, ended_at
        row.waits_for = row.waits_note = ""
        row.waits_since = None
    locked.save(update_fields=["step", "waits_for", "waits_note", "waits_since", "ended_at"])
    moved = StepMove.objects.create(case=case, step=step, at=at, by=by, because=because)
    record(by, "case.moved", case, at=at, step=step, move=moved.pk)


@deed()
def end_unworked(case: Case, *, because: str, by: User, at: dt.datetime) -> None:
    """End the stay before any work was done, from whichever step it has reached.

    Raises StepOrderError when it has ended already, is on the bench or beyond, or has no reason.
    """
    locked = locked_case(case.pk)
    begun = (Case.Step.ON_BENCH, Case.Step.PROVED, *locked.endings)
    if locked.step in begun or not because:
        _refuse_step(locked, Case.Step.HANDED_BACK)
    _set_step(case, locked, Case.Step.HANDED_BACK, because, by=by, at=at)


@deed()
def write_hand_back(row: HandBack, *, by: User, at: dt.datetime) -> HandBack:
    """Keep what the return receipt will say, until it is issued; what was said last holds.

    Raises CaseEndedError when it was issued meanwhile.
    """
    require_going_on(locked_case(row.case_id))
    known = HandBack.objects.filter(case=row.case_id, done_at=None).first()
    # The constraint allows one return being written; the later hand mends it rather than failing.
    if known is not None:  # somebody else wrote it down since the form was opened
        row.pk, row._state.adding = known.pk, False
    row.noted_by, row.noted_at = by, at
    row.save()
    record(by, "return.written", row.case, at=at, hashed={"to": row.received_name})
    return row


@deed()
def hand_back(row: HandBack, *, by: User, at: dt.datetime) -> None:
    """Let the instrument go: the step ends the stay and custody passes to who received it.

    Raises CustodyError when the workshop does not hold it, StepOrderError when the case has not
    come so far and no reason for returning it unworked is given.
    """
    case = row.case
    locked_case(case.pk)
    if row.why_unworked:
        end_unworked(case, because=row.why_unworked, by=by, at=at)
    else:
        move(case, row.ending, because="", by=by, at=at)
    if row.ending != Case.Step.TO_STOCK:
        _pass_custody(row, by=by)
    row.done_at = at
    row.save(update_fields=["done_at"])
    record(by, "case.handed_back", case, at=at, hashed={"to": row.received_name})


def _pass_custody(row: HandBack, *, by: User) -> None:
    present = row.case.custody.filter(until=None).first()
    if present is None or present.holder != Custody.Holder.WORKSHOP:
        raise CustodyError(number=row.case.number)
    # A return typed with a time before the last move would leave two holders at once.
    moment = max(row.returned_at, present.since)
    present.until = moment
    present.save(update_fields=["until"])
    # Only a name that is the owner's, accents aside, is taken for the owner; anybody else holds it
    # for them.
    is_owner = folded(row.received_name) == folded(row.case.owner.name)
    Custody.objects.create(
        case=row.case,
        holder=Custody.Holder.OWNER if is_owner else Custody.Holder.OTHER,
        holder_name=row.received_name,
        since=moment,
        noted_by=by,
    )


@deed()
def wait(case: Case, waits_for: str, note: str, *, by: User, at: dt.datetime) -> None:
    """Note what the case waits for; an empty ``waits_for`` ends the waiting.

    Raises CaseEndedError when it has ended, also a moment ago by somebody else.
    """
    require_going_on(locked_case(case.pk))
    case.waits_for, case.waits_note = waits_for, note if waits_for else ""
    case.waits_since = at if waits_for else None
    case.save(update_fields=["waits_for", "waits_note", "waits_since"])
    record(by, "case.waits" if waits_for else "case.waits_no_more", case, at=at, what=waits_for)


@deed()
def put_in_place(case: Case, place: str, *, by: User, at: dt.datetime) -> None:
    """Move the instrument inside the shop: one link of custody ends, the next begins.

    Custody decides and not the end of the stay: what stands in stock is moved after it. Raises
    CustodyError for what has left.
    """
    locked_case(case.pk)
    present = case.custody.filter(until=None).first()
    if present is None or present.holder != Custody.Holder.WORKSHOP:
        raise CustodyError(number=case.number)
    if present.place == place:
        return
    at = max(at, present.since)  # the intake may bear a time some minutes ahead
    present.until = at
    present.save(update_fields=["until"])
    Custody.objects.create(
        case=case, holder=Custody.Holder.WORKSHOP, place=place, since=at, noted_by=by
    )
    case.place = place
    case.save(update_fields=["place"])
    record(by, "custody.moved", case, at=at, place=place)
