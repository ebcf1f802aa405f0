"""How a stay ends: handed back, unworked, to stock or sold; custody passes with it."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import IntegrityError, transaction

from repairs.audit.models import LogEntry
from repairs.bench.passed import log_lines, strip
from repairs.cases.actions import end_unworked, hand_back, move, put_in_place, write_hand_back
from repairs.cases.custody_models import Custody
from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.cases.refusals import CaseEndedError, CustodyError, StepOrderError
from tests import factories

AT = dt.datetime(2026, 11, 24, 14, 0, tzinfo=dt.UTC)


def leaving(case: Case, by, **fields) -> HandBack:
    said = {
        "ending": "handed_back",
        "received_name": case.owner.name,
        "returned_at": AT,
        "state_at_return": "Sound.\nStrings slack.",
    } | fields
    return write_hand_back(HandBack(case=case, **said), by=by, at=AT)


def walk_to(case: Case, step: str, by) -> None:
    for one in case.path[1 : case.path.index(step) + 1]:
        move(case, one, because="", by=by, at=AT)


def test_what_is_proved_goes_home_and_custody_passes_to_the_owner(case, armand):
    walk_to(case, "proved", armand)

    hand_back(leaving(case, armand), by=armand, at=AT)

    case.refresh_from_db()
    first, last = case.custody.all()
    assert (case.step, case.ended_at) == ("handed_back", AT)
    assert (first.until, last.since, last.until) == (AT, AT, None)
    assert (last.holder, last.holder_name) == (Custody.Holder.OWNER, case.owner.name)
    assert case.hand_backs.get().done_at == AT


def test_someone_else_who_fetches_it_is_named_as_such(case, armand):
    walk_to(case, "proved", armand)

    hand_back(leaving(case, armand, received_name="A carrier"), by=armand, at=AT)

    assert case.custody.get(until=None).holder == Custody.Holder.OTHER


@pytest.mark.parametrize("step", ["taken_in", "looked_over", "agreed"])
def test_a_stay_may_end_unworked_from_any_step_before_the_bench(case, armand, step):
    walk_to(case, step, armand)

    end_unworked(case, because="Too dear", by=armand, at=AT)

    case.refresh_from_db()
    assert (case.step, case.ended_at) == ("handed_back", AT)
    assert case.moves.last().because == "Too dear"


@pytest.mark.parametrize("step", ["on_bench", "proved", "handed_back"])
def test_what_was_worked_on_does_not_end_unworked(case, armand, step):
    walk_to(case, step, armand)

    with pytest.raises(StepOrderError):
        end_unworked(case, because="Too dear", by=armand, at=AT)


def test_an_unworked_end_wants_its_reason(case, armand):
    with pytest.raises(StepOrderError):
        end_unworked(case, because="", by=armand, at=AT)


def test_the_strip_of_an_unworked_stay_shows_where_it_ended_and_what_it_skipped(case, armand):
    end_unworked(case, because="Too dear", by=armand, at=AT)

    marks = strip(case)

    assert marks[-1].is_present
    assert [mark.at is not None for mark in marks] == [True, False, False, False, False, True]


@pytest.mark.parametrize(("ending", "holder"), [("to_stock", "workshop"), ("sold", "other")])
def test_an_instrument_of_the_house_ends_in_stock_or_sold(vielle, armand, ending, holder):
    case = factories.case(vielle, by=armand, reason="house")
    walk_to(case, "proved", armand)

    hand_back(leaving(case, armand, ending=ending, received_name="A buyer"), by=armand, at=AT)

    case.refresh_from_db()
    assert (case.step, case.ended_at) == (ending, AT)
    assert case.custody.get(until=None).holder == holder
    assert case.path[-1] == ending


def test_a_repair_is_not_sold(case, armand):
    walk_to(case, "proved", armand)

    with pytest.raises(StepOrderError):
        hand_back(leaving(case, armand, ending="sold"), by=armand, at=AT)


def test_nothing_is_half_done_when_custody_cannot_pass(case, armand):
    walk_to(case, "proved", armand)
    case.custody.update(holder=Custody.Holder.OWNER)

    row = leaving(case, armand)

    with pytest.raises(CustodyError), transaction.atomic():
        hand_back(row, by=armand, at=AT)

    case.refresh_from_db()
    assert (case.step, case.ended_at) == ("proved", None)
    assert case.hand_backs.get().done_at is None


def test_only_one_return_is_being_written_at_a_time(case, armand):
    row = leaving(case, armand)
    row.pk, row._state.adding = None, True

    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


def test_of_two_who_write_the_return_down_at_once_the_last_word_holds(case, armand, helene):
    leaving(case, armand, received_name="Garance")
    leaving(case, helene, received_name="Anselme")

    row = case.hand_backs.get()
    assert (row.received_name, row.noted_by) == ("Anselme", helene)


def test_a_return_that_was_done_meanwhile_is_not_written_anew(case, armand):
    walk_to(case, "proved", armand)
    row = leaving(case, armand)
    stale = HandBack.objects.get(pk=row.pk)
    hand_back(row, by=armand, at=AT)

    with pytest.raises(CaseEndedError, match="ended on"):
        write_hand_back(stale, by=armand, at=AT)

    assert case.hand_backs.get().done_at == AT


def test_the_log_tells_a_move_with_its_reason_and_keeps_no_name(case, armand):
    end_unworked(case, because="The owner thinks it over", by=armand, at=AT)

    lines = [line.words for line in log_lines(case)]
    entry = LogEntry.objects.get(verb="case.moved")

    assert lines[0] == "moved the case to “handed back”: The owner thinks it over"
    assert set(entry.details) == {"step", "move"}


def test_custody_passes_not_before_it_began(case, armand):
    put_in_place(case, "North bench", by=armand, at=AT + dt.timedelta(minutes=3))
    walk_to(case, "proved", armand)

    hand_back(leaving(case, armand), by=armand, at=AT)

    assert case.custody.get(until=None).since == AT + dt.timedelta(minutes=3)
