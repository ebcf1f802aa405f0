"""Minutes of the people at the bench: each runs a clock of their own, one at a time."""

from __future__ import annotations

import datetime as dt

from django.db import IntegrityError
from django.utils.formats import date_format
from django.utils.timezone import localdate, localtime
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.people.access import may
from repairs.people.models import User
from repairs.treatment.actions import check_open
from repairs.treatment.models import Intervention, WorkSpell, minutes_between
from repairs.treatment.refusals import ClockError

# Nobody works ten hours without laying the tool down: beyond that the clock is wrong, not the
# person, and minutes that nobody worked must not reach a bill.
LONGEST = dt.timedelta(hours=10)


def open_spell(person: User) -> WorkSpell | None:
    """The clock that the person runs now, on whichever case."""
    rows = WorkSpell.objects.filter(person=person, ended_at=None)
    return rows.select_related("intervention__case", "intervention__version").first()


def is_left_on(spell: WorkSpell, at: dt.datetime) -> bool:
    """Whether the clock runs since another day or longer than anyone works: then it is asked."""
    return at - spell.started_at > LONGEST or localdate(spell.started_at) != localdate(at)


@deed()
def start_clock(work: Intervention, *, by: User, at: dt.datetime) -> WorkSpell:
    """Start or resume one's own clock. Others may run theirs on the same work.

    Raises ClockError when one's clock runs already, here or elsewhere; WorkClosedError on work
    that is signed off.
    """
    check_open(work)
    running = open_spell(by)
    if running is not None:
        raise ClockError(why=_runs_already(running))
    try:
        with deed():
            spell = WorkSpell.objects.create(intervention=work, person=by, started_at=at)
    # The constraint “one open clock a person” decides between telephone and bench, not the query
    # above.
    except IntegrityError:  # started meanwhile on another device
        running = open_spell(by)
        if running is None:
            raise
        raise ClockError(why=_runs_already(running)) from None
    if work.ended_at is not None:
        work.ended_at = None
        work.save(update_fields=["ended_at"])
    record(by, "clock.started", work.case, at=at, work=work.number)
    return spell


def _runs_already(spell: WorkSpell) -> str:
    since = date_format(localtime(spell.started_at), "DATETIME_FORMAT")
    return _(
        "yours runs since %(since)s on case %(case)s, work %(work)s. Pause that one first."
    ) % {
        "since": since,
        "case": spell.intervention.case.number,
        "work": spell.intervention.number,
    }


@deed()
def stop_clock(
    spell: WorkSpell, *, by: User, at: dt.datetime, minutes: int | None = None
) -> WorkSpell:
    """Pause or stop a clock; ``minutes`` are what was really worked, when somebody types them.

    Raises ClockError when it is another's clock (the principal may stop it), when it has stopped
    already, when it was left on and nobody says how long the work took, or when more minutes are
    typed than have passed.
    """
    locked_case(spell.intervention.case_id)
    locked = WorkSpell.objects.get(pk=spell.pk)
    _check_stop(locked, by, at, minutes)
    # Whole minutes, as they are billed; the start and the end stay beside them to the second.
    passed = minutes_between(locked.started_at, at)
    locked.typed = minutes is not None
    locked.minutes = passed if minutes is None else minutes
    locked.ended_at = at
    locked.save(update_fields=["typed", "minutes", "ended_at"])
    work = locked.intervention
    record(
        by,
        "clock.stopped",
        work.case,
        at=at,
        work=work.number,
        minutes=locked.minutes,
        person=locked.person_id,
        typed=locked.typed,
    )
    return locked


def _check_stop(spell: WorkSpell, by: User, at: dt.datetime, minutes: int | None) -> None:
    if spell.ended_at is not None:
        raise ClockError(why=_("it has stopped already."))
    if spell.person_id != by.pk and not may(by, "house"):
        raise ClockError(
            why=_("it is %(who)s’s. Only they or the principal stop it.") % {"who": spell.person}
        )
    if minutes is None and is_left_on(spell, at):
        since = date_format(localtime(spell.started_at), "DATETIME_FORMAT")
        raise ClockError(
            why=_("it runs since %(since)s. Say how many minutes the work really took.")
            % {"since": since}
        )
    passed = minutes_between(spell.started_at, at)
    if minutes is not None and minutes > passed:
        raise ClockError(
            why=_("%(minutes)s min are more than the %(passed)s min that have passed.")
            % {"minutes": minutes, "passed": passed}
        )


@deed()
def type_minutes(spell: WorkSpell, *, by: User, at: dt.datetime) -> WorkSpell:
    """Keep minutes that no clock ran for, marked as typed."""
    work = spell.intervention
    check_open(work)
    spell.typed = True
    spell.ended_at = spell.started_at + dt.timedelta(minutes=spell.minutes or 0)
    spell.save()
    record(
        by,
        "clock.typed",
        work.case,
        at=at,
        work=work.number,
        minutes=spell.minutes,
        person=spell.person_id,
    )
    return spell
