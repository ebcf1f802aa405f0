"""Verbs of a guided set-up: begin it, mark a step, end it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Max

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.people.models import User
from repairs.readings.refusals import SetUpMovedOnError, SetUpOverError
from repairs.readings.setup.orders import Order, Step
from repairs.readings.setup_models import SetUp, SetUpMark

What = SetUpMark.What


@dataclass(frozen=True)
class Wish:
    """A mark as a form asks for it: ``known`` is the last mark that its page showed."""

    step: Step
    what: str
    words: str
    tap: UUID
    known: int


@deed()
def begin(case: Case, *, by: User, at: dt.datetime) -> SetUp:
    """Begin a set-up; where one goes on already, it is that one."""
    case = locked_case(case.pk)
    standing = case.setups.filter(ended_at=None).first()
    if standing is not None:
        return standing
    last = case.setups.aggregate(last=Max("number"))["last"] or 0
    setup = SetUp.objects.create(case=case, number=last + 1, begun_at=at, begun_by=by)
    record(by, "setup.begun", case, at=at, setup=setup.number)
    return setup


@deed()
def mark(setup: SetUp, order: Order, wish: Wish, *, by: User, at: dt.datetime) -> SetUpMark:
    """Note what was done at a step, once however often it is sent.

    Raises SetUpOverError when the set-up has ended, SetUpMovedOnError when somebody else changed
    meanwhile what this step rests on.
    """
    case = locked_case(setup.case_id)
    known = SetUpMark.objects.filter(tap=wish.tap).first()
    if known is not None:
        return known
    if SetUp.objects.filter(pk=setup.pk, ended_at=None).first() is None:
        raise SetUpOverError(number=setup.number)
    if wish.what != What.CHANGED:
        _check_unmoved(setup, order, wish, by)
    row = _kept(setup, wish, by, at)
    record(
        by,
        "setup.marked",
        case,
        at=at,
        setup=setup.number,
        setup_step=f"{order.key}.{wish.step.key}",
        setup_what=wish.what,
    )
    return row


def _kept(setup: SetUp, wish: Wish, by: User, at: dt.datetime) -> SetUpMark:
    said = {"step": wish.step.key, "what": wish.what, "words": wish.words, "tap": wish.tap}
    return SetUpMark.objects.create(setup=setup, at=at, by=by, **said)


def _check_unmoved(setup: SetUp, order: Order, wish: Wish, by: User) -> None:
    """What was seen before somebody else's change says nothing after it."""
    newer = setup.marks.filter(
        pk__gt=wish.known, what=What.CHANGED, step__in=order.voiding(wish.step.key)
    )
    moved = newer.exclude(by=by).select_related("by").first()
    if moved is not None:
        changed = order.step(moved.step)
        raise SetUpMovedOnError(who=moved.by, changed=changed, step=wish.step)


@deed()
def end(setup: SetUp, *, by: User, at: dt.datetime) -> None:
    """End it; its readings, marks and rounds stay as they are."""
    case = locked_case(setup.case_id)
    row = SetUp.objects.get(pk=setup.pk)
    if row.ended_at is not None:
        return
    row.ended_at = at
    row.save(update_fields=["ended_at"])
    record(by, "setup.ended", case, at=at, setup=row.number)
