"""Minutes by person: each runs a clock of their own, and nothing is cut in silence."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.treatment.clocks import is_left_on, open_spell, start_clock, stop_clock, type_minutes
from repairs.treatment.models import WorkSpell, minutes_between
from repairs.treatment.refusals import ClockError, WorkClosedError
from repairs.treatment.show import minutes_by_person
from tests import factories

TEN = dt.datetime(2026, 11, 24, 9, 0, tzinfo=dt.UTC)  # 10:00 in the shop


def later(**time: float) -> dt.datetime:
    return TEN + dt.timedelta(**time)


@pytest.mark.parametrize(
    ("seconds", "minutes"), [(0, 1), (29, 1), (89, 1), (90, 2), (3600, 60), (3629, 60), (3630, 61)]
)
def test_minutes_are_whole_half_up_and_at_least_one(seconds, minutes):
    assert minutes_between(TEN, later(seconds=seconds)) == minutes


def test_start_pause_resume_and_stop_add_up_by_person(work, armand, helene):
    stop_clock(start_clock(work, by=armand, at=TEN), by=armand, at=later(minutes=20))
    stop_clock(start_clock(work, by=armand, at=later(minutes=30)), by=armand, at=later(minutes=42))
    stop_clock(start_clock(work, by=helene, at=TEN), by=helene, at=later(minutes=5))

    people = minutes_by_person(work.spells.select_related("person"))

    assert {str(one.person): (one.minutes, one.typed) for one in people} == {
        "Armand Sautarel": (32, 0),
        "Helene Sautarel": (5, 0),
    }


def test_two_run_their_clocks_on_the_same_work(work, armand, helene):
    spells = [start_clock(work, by=person, at=TEN) for person in (armand, helene)]

    assert [open_spell(person) for person in (armand, helene)] == spells


def test_a_second_clock_is_refused_and_the_first_is_named(work, plain_work, armand):
    start_clock(work, by=armand, at=TEN)

    with pytest.raises(ClockError, match=r"case 2026-001, work 1\. Pause that one first"):
        start_clock(plain_work, by=armand, at=later(minutes=1))

    assert WorkSpell.objects.count() == 1


def test_the_database_itself_keeps_to_one_open_clock_a_person(work, plain_work, armand):
    start_clock(work, by=armand, at=TEN)

    with pytest.raises(IntegrityError), transaction.atomic():
        WorkSpell.objects.create(intervention=plain_work, person=armand, started_at=TEN)


def test_a_clock_stops_once(work, armand):
    spell = start_clock(work, by=armand, at=TEN)
    stop_clock(spell, by=armand, at=later(minutes=3))

    with pytest.raises(ClockError, match="stopped already"):
        stop_clock(spell, by=armand, at=later(minutes=9))

    spell.refresh_from_db()
    assert spell.minutes == 3


def test_somebody_else_s_clock_is_stopped_by_the_principal_only(work, armand, lise, helene):
    spell = start_clock(work, by=lise, at=TEN)

    with pytest.raises(ClockError, match="Lise Sautarel’s"):
        stop_clock(spell, by=armand, at=later(minutes=3))
    stop_clock(spell, by=helene, at=later(minutes=3))

    line = LogEntry.objects.get(verb="clock.stopped")
    assert (line.actor, line.details["person"], line.details["minutes"]) == (helene, lise.pk, 3)


@pytest.mark.parametrize(
    ("moment", "left"),
    [
        (later(hours=9, minutes=59), False),
        (later(hours=10, minutes=1), True),
        (later(hours=12), True),
        (later(days=1), True),
    ],
)
def test_a_clock_is_left_on_after_ten_hours_or_on_another_day(work, armand, moment, left):
    assert is_left_on(start_clock(work, by=armand, at=TEN), moment) is left


def test_a_clock_that_runs_past_midnight_is_asked_about(work, armand):
    spell = start_clock(work, by=armand, at=dt.datetime(2026, 11, 24, 22, 50, tzinfo=dt.UTC))

    assert is_left_on(spell, dt.datetime(2026, 11, 24, 23, 10, tzinfo=dt.UTC))


def test_a_clock_left_on_is_never_cut_by_itself(work, armand):
    spell = start_clock(work, by=armand, at=TEN)

    with pytest.raises(ClockError, match="Say how many minutes the work really took"):
        stop_clock(spell, by=armand, at=later(days=1))

    spell.refresh_from_db()
    assert (spell.ended_at, spell.minutes) == (None, None)


def test_the_minutes_then_typed_are_marked_as_typed(work, armand):
    spell = start_clock(work, by=armand, at=TEN)

    stop_clock(spell, by=armand, at=later(days=1), minutes=95)

    spell.refresh_from_db()
    assert (spell.minutes, spell.typed, spell.ended_at) == (95, True, later(days=1))
    assert LogEntry.objects.get(verb="clock.stopped").details["typed"] is True


def test_more_minutes_than_have_passed_are_refused(work, armand):
    spell = start_clock(work, by=armand, at=TEN)

    with pytest.raises(ClockError, match="61 min are more than the 60 min that have passed"):
        stop_clock(spell, by=armand, at=later(hours=1), minutes=61)

    assert stop_clock(spell, by=armand, at=later(hours=1), minutes=60).minutes == 60


def test_minutes_typed_later_are_marked_and_counted(work, armand, lise):
    spell = WorkSpell(intervention=work, person=lise, started_at=TEN, minutes=45)

    type_minutes(spell, by=armand, at=later(days=1))

    (line,) = minutes_by_person(work.spells.all())
    assert (line.person, line.minutes, line.typed) == (lise, 45, 45)
    assert spell.ended_at == later(minutes=45)


def test_starting_a_clock_takes_up_work_that_was_ended(work, armand, send):
    send("clock", work.case.number, work.number, by=armand, do="stop")
    work.refresh_from_db()
    assert work.ended_at is not None

    start_clock(work, by=armand, at=timezone.now())

    work.refresh_from_db()
    assert work.ended_at is None


@pytest.mark.parametrize("verb", ["start", "type"])
def test_signed_work_takes_no_minutes(plain_work, armand, verb):
    """Also when what the caller holds was read before the signature."""
    stale = type(plain_work).objects.select_related("sign_off").get(pk=plain_work.pk)
    assert not stale.is_signed
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)

    with pytest.raises(WorkClosedError, match="Work 1 was signed off"):
        if verb == "start":
            start_clock(stale, by=armand, at=timezone.now())
        else:
            row = WorkSpell(intervention=stale, person=armand, started_at=TEN, minutes=5)
            type_minutes(row, by=armand, at=timezone.now())

    assert not WorkSpell.objects.exists()
