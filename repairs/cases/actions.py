"""Verbs on a case: take in, change, move to a step, wait, move in the shop."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db import transaction
from django.utils import timezone

from repairs.audit.actions import record
from repairs.cases.models import Case, CaseSeries, Custody, StepMove
from repairs.errors import CustodyError, StepOrderError

INTAKE_FIELDS = (
    "reason",
    "owner_words",
    "state_at_intake",
    "received_items",
    "bringer_name",
    "bringer_contact",
    "bringer_may_agree",
    "title_proof",
    "received_at",
    "promised_on",
    "review_on",
    "insured_value",
    "liability",
    "place",
    "room_t_c",
    "room_rh_pct",
    "may_turn",
    "may_string",
    "may_play",
    "leave_decided_by",
    "consumables_kept",
)


@transaction.atomic
def take_in(case: Case, *, by: Any, at: dt.datetime) -> Case:
    """Give the next number of the year and open the chain of custody.

    The number, the first step and the first link of custody are saved together or not at all, so
    that a year's numbers have no gap.
    """
    case.year = timezone.localtime(case.received_at).year
    CaseSeries.objects.get_or_create(year=case.year)
    series = CaseSeries.objects.select_for_update().get(year=case.year)
    series.last += 1
    series.save(update_fields=["last"])
    case.number = f"{case.year}-{series.last:03d}"
    case.received_by = by
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


@transaction.atomic
def change_intake(case: Case, *, by: Any, at: dt.datetime) -> Case:
    """Mend what was typed at intake; papers already issued keep what they said.

    Another place is a move inside the shop, so that the chain of custody says it too.
    """
    place = case.place
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


@transaction.atomic
def move(case: Case, step: str, *, because: str, by: Any, at: dt.datetime) -> None:
    """Move the case to a step of its path. Forward one by one, or back with a reason.

    Raises StepOrderError when the step is not on the path, is jumped to, or when a step back has
    no reason. The room whose act makes the move checks its own conditions and calls this in its
    own transaction.
    """
    locked = Case.objects.select_for_update().get(pk=case.pk)
    path = locked.path
    place = path.index(locked.step) if locked.step in path else 0
    ahead = path[place + 1 : place + 2]
    behind = path[:place] if because else []
    if step not in (*ahead, *behind):
        raise StepOrderError(
            number=locked.number, present=locked.get_step_display(), wanted=Case.Step(step).label
        )
    case.step = locked.step = step
    case.waits_for = case.waits_note = locked.waits_for = locked.waits_note = ""
    locked.waits_since = None
    is_over = step == path[-1]
    case.ended_at = locked.ended_at = at if is_over else None
    locked.save(update_fields=["step", "waits_for", "waits_note", "waits_since", "ended_at"])
    StepMove.objects.create(case=case, step=step, at=at, by=by, because=because)
    record(by, "case.moved", case, at=at, step=step)


@transaction.atomic
def wait(case: Case, waits_for: str, note: str, *, by: Any, at: dt.datetime) -> None:
    """Note what the case waits for; an empty ``waits_for`` ends the waiting."""
    case.waits_for, case.waits_note = waits_for, note if waits_for else ""
    case.waits_since = at if waits_for else None
    case.save(update_fields=["waits_for", "waits_note", "waits_since"])
    record(by, "case.waits" if waits_for else "case.waits_no_more", case, at=at, what=waits_for)


@transaction.atomic
def put_in_place(case: Case, place: str, *, by: Any, at: dt.datetime) -> None:
    """Move the instrument inside the shop: one link of custody ends, the next begins."""
    present = case.custody.select_for_update().filter(until=None).first()
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
