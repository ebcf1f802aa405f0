"""Taps at the bench: sent again as often as need be, noted once, in the order of the hands."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.treatment.actions import latest_notes, note_steps, tap_step
from repairs.treatment.models import StepNote
from repairs.treatment.refusals import WorkClosedError
from repairs.treatment.steps import step_lines, steps_at_hand
from repairs.treatment.views import work_for
from tests import factories

AGO = dt.timedelta(minutes=20)


def keys_of(work) -> list[str]:
    return [step.key for step in work.version.procedure.steps]


def tap(work, state: str, words: str = "", *, by, ago=dt.timedelta(0), name=None, step=0) -> bool:
    now = timezone.now()
    note = StepNote(
        step=keys_of(work)[step], state=state, words=words, tap=name or uuid.uuid4(), at=now - ago
    )
    return tap_step(work, note, by=by, at=now)


@pytest.fixture
def post(client, work):
    """A tap as the script sends it."""

    def send(by: Any, **said: str) -> Any:
        client.force_login(by)
        address = reverse("treatment:steps", args=[work.case.number, work.number])
        first = {"step": keys_of(work)[0], "state": "done", "tap": str(uuid.uuid4())}
        return client.post(address, first | said, headers={"accept": "application/json"})

    return send


@pytest.fixture
def begun_before(work):
    """Work that was begun an hour ago, so that taps can have waited."""
    type(work).objects.update(opened_at=timezone.now() - dt.timedelta(hours=1))
    work.refresh_from_db()
    return work


def test_a_tap_sent_twice_is_noted_once(work, armand):
    name = uuid.uuid4()

    assert tap(work, "done", by=armand, name=name)
    assert not tap(work, "done", by=armand, name=name)

    assert work.step_notes.count() == 1
    assert LogEntry.objects.filter(verb="step.noted").count() == 1


def test_a_tap_sent_again_after_it_was_undone_stays_undone(work, armand, lise):
    name = uuid.uuid4()
    tap(work, "done", by=armand, name=name)
    tap(work, "open", by=lise)

    assert not tap(work, "done", by=armand, name=name)

    assert latest_notes(work)[keys_of(work)[0]].state == "open"


def test_a_tap_that_waited_does_not_outdo_what_was_said_since(begun_before, armand, lise):
    tap(begun_before, "otherwise", "glued twice", by=lise)

    assert tap(begun_before, "done", by=armand, ago=AGO)

    note = latest_notes(begun_before)[keys_of(begun_before)[0]]
    assert (note.state, note.words, note.by) == ("otherwise", "glued twice", lise)
    assert [row.state for row in begun_before.step_notes.order_by("at")] == ["done", "otherwise"]


def test_a_tap_from_before_the_work_or_after_now_bears_the_nearest_moment(work, armand):
    now = timezone.now()
    first, second = keys_of(work)[:2]
    for key, moment in ((first, now - dt.timedelta(days=9)), (second, now + dt.timedelta(days=9))):
        tap_step(work, StepNote(step=key, state="done", at=moment), by=armand, at=now)

    assert [note.at for note in work.step_notes.order_by("pk")] == [work.opened_at, now]


def test_two_people_at_one_step_say_it_once(work, armand, lise):
    """The page of the second is older than the tap of the first."""
    stale = work_for(work.case, work.number)

    assert tap(work, "done", by=armand)
    assert not tap(stale, "done", by=lise)

    assert work.step_notes.get().by == armand


def test_signed_work_takes_no_tap(plain_work, armand):
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)

    with pytest.raises(WorkClosedError):
        tap(plain_work, "open", by=armand)


def test_the_script_is_told_how_all_steps_stand(work, armand, lise, post):
    tap(work, "left_out", "it was dry", by=lise, step=1)

    answer = post(armand)

    told = answer.json()
    assert answer.status_code == 200
    assert told["csrf"]
    assert [row["state"] for row in told["steps"]][:3] == ["done", "left_out", "open"]
    assert [row["mine"] for row in told["steps"]][:3] == [True, False, False]
    assert "it was dry" in told["steps"][1]["said"]
    assert "Lise Sautarel" in told["steps"][1]["said"]


@pytest.mark.parametrize(
    ("said", "status", "sentence"),
    [
        ({"state": "otherwise"}, 422, "Say what really happened at"),
        ({"who": "999999"}, 401, "These taps are another person’s."),
    ],
)
def test_the_script_is_told_why_a_tap_is_not_noted(work, armand, post, said, status, sentence):
    answer = post(armand, **said)

    assert answer.status_code == status
    assert sentence in answer.json()["error"]
    assert not work.step_notes.exists()


def test_the_script_is_told_that_the_work_is_signed(plain_work, armand, client):
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)
    client.force_login(armand)

    answer = client.post(
        reverse("treatment:steps", args=[plain_work.case.number, plain_work.number]),
        {"step": keys_of(plain_work)[0], "state": "open"},
        headers={"accept": "application/json"},
    )

    assert answer.status_code == 409
    assert "was signed off on" in answer.json()["error"]


def test_a_reader_asks_how_the_steps_stand(work, armand, tom, client):
    tap(work, "done", by=armand)
    client.force_login(tom)

    answer = client.get(reverse("treatment:step_states", args=[work.case.number, work.number]))

    assert answer.json()["steps"][0]["state"] == "done"


# Without a script ------------------------------------------------------------------------------


def test_each_tap_comes_back_to_the_next_step(work, armand, send):
    keys, place = keys_of(work), (work.case.number, work.number)

    first = send("steps", *place, by=armand, step=keys[0], state="done")
    skipped = send("steps", *place, by=armand, step=keys[3], state="done")
    again = send("steps", *place, by=armand, step=keys[0], state="open")
    listed = send("steps", *place, by=armand, step=keys[0], state="done", list="1")

    found = [answer["Location"].partition("work/1/")[2] for answer in (first, skipped, again)]
    assert found == [f"?step={keys[at]}#steps" for at in (1, 4, 0)]
    assert listed["Location"].endswith("/work/1/?list=1#steps")


def test_after_the_last_step_the_page_says_that_all_are_noted(plain_work, armand, send, see):
    place = (plain_work.case.number, plain_work.number)

    answer = send("steps", *place, by=armand, step=keys_of(plain_work)[0], state="done")

    page = see("work", *place, by=armand)
    assert answer["Location"].endswith("/work/1/#steps")
    assert "Every step is noted" in page
    assert 'class="rosin"' in page


def test_the_step_that_is_asked_for_is_in_hand(work, armand):
    lines = step_lines(work, armand)

    first, third = steps_at_hand(lines), steps_at_hand(lines, wanted=lines[2].step.key)

    assert (first.now, third.now) == (lines[0], lines[2])
    assert lines[2] not in third.coming
    assert lines[0] in third.coming
    assert steps_at_hand(lines, wanted="nonsense").now == lines[0]


def test_a_list_holds_every_step(work, armand):
    tap(work, "done", by=armand)
    lines = step_lines(work_for(work.case, work.number), armand)

    listed = steps_at_hand(lines, is_list=True)

    assert listed.at_hand == []
    assert [*listed.noted, *listed.coming] == lines


def test_undo_takes_back_one_s_own_last_word_and_then_the_one_before(work, armand, lise):
    def undone() -> str | None:
        held = steps_at_hand(step_lines(work_for(work.case, work.number), armand))
        return held.undo.step.key if held.undo else None

    keys = keys_of(work)
    assert undone() is None
    tap(work, "done", by=armand)
    tap(work, "otherwise", "glued twice", by=armand, step=1)
    tap(work, "done", by=lise, step=2)
    assert undone() == keys[1]
    tap(work, "open", by=armand, step=1)
    assert undone() == keys[0]
    tap(work, "open", by=armand)
    assert undone() is None


def test_words_of_the_time_are_those_of_today_or_with_their_day(begun_before, armand, monkeypatch):
    first = StepNote(step=keys_of(begun_before)[0], state="done")
    note_steps(begun_before, [first], by=armand, at=timezone.now())

    today = step_lines(begun_before, armand)[0].said
    later = timezone.now() + dt.timedelta(days=3)
    monkeypatch.setattr("repairs.treatment.steps.now", lambda: later)
    then = step_lines(begun_before, armand)[0].said

    assert today.startswith("Armand Sautarel, ")
    assert then.startswith("Armand Sautarel, ")
    assert len(then) > len(today)


def test_the_card_of_a_work_holds_what_its_readings_before_propose(refit, case, armand, see):
    page = see("card", case.number, refit.number, by=armand)

    assert "1 tangent to move" in page
    assert "← towards the nut" in page
    assert refit.get_absolute_url() in page
