"""The steps of a case, what it waits for, and who holds the instrument meanwhile."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.actions import move, put_in_place, wait
from repairs.cases.custody_models import Custody
from repairs.cases.models import Case
from repairs.cases.reasons import reasons, steps_for
from repairs.cases.refusals import CustodyError, StepOrderError
from tests import factories

AT = dt.datetime(2026, 11, 24, 14, 0, tzinfo=dt.UTC)
FULL_PATH = ["taken_in", "looked_over", "agreed", "on_bench", "proved", "handed_back"]
SURVEY = ["taken_in", "looked_over", "reported", "handed_back"]


def walk(case: Case, steps: list[str], by) -> None:
    for step in steps:
        move(case, step, because="", by=by, at=AT)


def test_a_repair_goes_forward_one_step_at_a_time(case, armand):
    walk(case, FULL_PATH[1:], armand)

    case.refresh_from_db()
    assert [row.step for row in case.moves.all()] == FULL_PATH
    assert (case.step, case.ended_at) == ("handed_back", AT)
    assert not Case.objects.open().exists()


def test_a_survey_is_reported_and_handed_back_without_an_agreement(vielle, armand):
    case = factories.case(vielle, by=armand, reason="survey")

    walk(case, SURVEY[1:], armand)

    assert [row.step for row in case.moves.all()] == SURVEY
    assert case.ended_at == AT


@pytest.mark.parametrize("reason", ["survey", "survey_sale", "survey_loan"])
def test_every_kind_of_survey_has_the_short_path(reason):
    assert steps_for(reason) == SURVEY


def test_an_instrument_of_the_house_ends_in_stock(vielle, armand):
    case = factories.case(vielle, by=armand, reason="house")

    walk(case, [*FULL_PATH[1:-1], "to_stock"], armand)

    assert (case.step, case.ended_at) == ("to_stock", AT)


@pytest.mark.parametrize("reason", sorted(reasons()))
def test_every_path_starts_at_the_counter_and_knows_only_steps_of_a_case(reason):
    path = steps_for(reason)

    assert path[0] == "taken_in"
    assert set(path) <= set(Case.Step.values)


@pytest.mark.parametrize("step", ["agreed", "on_bench", "handed_back", "reported", "taken_in"])
def test_no_step_is_skipped_or_taken_twice_and_no_foreign_one_is_taken(case, armand, step):
    with pytest.raises(StepOrderError, match="2026-001"):
        move(case, step, because="", by=armand, at=AT)

    case.refresh_from_db()
    assert case.step == "taken_in"
    assert case.moves.count() == 1


def test_a_refused_step_says_where_the_case_is_and_where_it_cannot_go(case, armand):
    with pytest.raises(StepOrderError) as refused:
        move(case, "on_bench", because="", by=armand, at=AT)

    assert str(refused.value) == (
        "Case 2026-001 is at the step “taken in” and cannot go to “on the bench” from there."
    )


def test_a_step_back_wants_a_reason(case, armand):
    walk(case, ["looked_over", "agreed"], armand)

    with pytest.raises(StepOrderError):
        move(case, "looked_over", because="", by=armand, at=AT)
    move(case, "looked_over", because="A second crack", by=armand, at=AT)

    case.refresh_from_db()
    assert case.step == "looked_over"
    assert case.moves.last().because == "A second crack"


def test_a_step_back_may_go_further_than_one(case, armand):
    walk(case, FULL_PATH[1:5], armand)

    move(case, "looked_over", because="It came back", by=armand, at=AT)

    assert case.step == "looked_over"


def test_a_reason_allows_no_jump_forward(case, armand):
    with pytest.raises(StepOrderError):
        move(case, "on_bench", because="It is urgent", by=armand, at=AT)


def test_a_case_that_comes_back_from_its_end_is_open_again(case, armand):
    walk(case, FULL_PATH[1:], armand)

    move(case, "on_bench", because="A key rubs", by=armand, at=AT)

    case.refresh_from_db()
    assert case.ended_at is None


def test_a_move_looks_at_the_case_as_it_is_kept_not_as_it_was_read(case, armand):
    stale = Case.objects.get(pk=case.pk)
    walk(case, ["looked_over"], armand)

    with pytest.raises(StepOrderError):
        move(stale, "looked_over", because="", by=armand, at=AT)


def test_a_case_waits_and_waits_no_more(client, armand, case):
    client.force_login(armand)
    address = reverse("cases:wait", args=[case.number])

    client.post(address, {"waits_for": "part", "note": "a tangent"})
    case.refresh_from_db()
    waiting = (case.waits_for, case.waits_note, case.waits_since is not None)
    page = client.get(case.get_absolute_url()).text
    client.post(address, {"waits_for": "", "note": "came on Monday"})

    case.refresh_from_db()
    assert waiting == ("part", "a tangent", True)
    assert "waits for a part" in page
    assert (case.waits_for, case.waits_note, case.waits_since) == ("", "", None)


@pytest.mark.parametrize("said", [{"waits_for": "luck"}, {"waits_for": "part", "note": "x" * 201}])
def test_a_wait_that_cannot_be_noted_is_refused_aloud(client, armand, case, said):
    client.force_login(armand)

    answer = client.post(reverse("cases:wait", args=[case.number]), said, follow=True)

    case.refresh_from_db()
    assert "note-error" in answer.text
    assert case.waits_for == ""


def test_the_next_step_ends_the_waiting(case, armand):
    wait(case, "owner", "ring on Friday", by=armand, at=AT)

    walk(case, ["looked_over"], armand)

    case.refresh_from_db()
    assert (case.waits_for, case.waits_note, case.waits_since) == ("", "", None)


def test_a_move_in_the_shop_ends_one_link_and_begins_the_next(client, armand, case):
    client.force_login(armand)

    client.post(reverse("cases:place", args=[case.number]), {"place": "North bench"})

    first, second = case.custody.all()
    case.refresh_from_db()
    assert (first.place, second.place, second.until) == ("Shelf 2", "North bench", None)
    assert first.until == second.since
    assert case.place == "North bench"
    assert LogEntry.objects.filter(verb="custody.moved", subject=case.log_key).count() == 1


def test_where_it_already_lies_it_is_not_moved_to(case, armand):
    put_in_place(case, "Shelf 2", by=armand, at=AT)

    assert case.custody.count() == 1
    assert not LogEntry.objects.filter(verb="custody.moved").exists()


@pytest.mark.parametrize("place", ["", "x" * 81])
def test_a_place_that_is_none_is_refused_aloud(client, armand, case, place):
    client.force_login(armand)

    answer = client.post(reverse("cases:place", args=[case.number]), {"place": place}, follow=True)

    assert "Say where it lies now, in at most 80 characters." in answer.text
    assert case.custody.count() == 1


def test_what_is_not_held_cannot_be_moved_in_the_shop(client, armand, case):
    case.custody.update(holder=Custody.Holder.OWNER)
    client.force_login(armand)

    answer = client.post(reverse("cases:place", args=[case.number]), {"place": "North bench"})

    assert answer.status_code == 409
    assert "is not in the workshop any more" in answer.text
    assert case.custody.get().holder == Custody.Holder.OWNER


def test_what_was_handed_back_cannot_be_moved_in_the_shop(case, armand):
    case.custody.update(until=AT)

    with pytest.raises(CustodyError, match="2026-001"):
        put_in_place(case, "North bench", by=armand, at=AT)


def test_the_database_keeps_only_one_present_holder(case, armand):
    with pytest.raises(IntegrityError), transaction.atomic():
        Custody.objects.create(case=case, holder="owner", since=AT, noted_by=armand)


def test_what_came_with_a_clock_ahead_can_be_moved_at_once(vielle, armand):
    now = timezone.now()
    case = factories.case(vielle, by=armand, received_at=now + dt.timedelta(minutes=4))

    put_in_place(case, "North bench", by=armand, at=now)

    assert case.custody.get(until=None).place == "North bench"
