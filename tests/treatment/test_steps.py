"""Steps with what really happened, the words of the work, and its room."""

from __future__ import annotations

import html
import re

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.treatment.actions import describe_work, latest_notes, note_steps
from repairs.treatment.models import StepNote
from repairs.treatment.refusals import WorkClosedError
from tests import factories


def first_step(work) -> str:
    return work.version.procedure.steps[0].key


def note(work, state: str, words: str = "", *, by) -> list[StepNote]:
    row = StepNote(step=first_step(work), state=state, words=words)
    return note_steps(work, [row], by=by, at=timezone.now())


def test_what_is_said_later_of_a_step_counts_and_the_earlier_word_stays(work, armand, lise):
    note(work, "done", by=armand)
    note(work, "otherwise", "glued twice", by=lise)

    assert latest_notes(work)[first_step(work)].by == lise
    assert [row.state for row in work.step_notes.all()] == ["done", "otherwise"]


def test_a_word_on_a_step_is_never_rewritten(work, armand):
    (row,) = note(work, "done", by=armand)

    with pytest.raises(TypeError, match="never rewritten"):
        row.save()


def test_saying_the_same_again_writes_nothing(work, armand):
    note(work, "otherwise", "glued twice", by=armand)

    assert note(work, "otherwise", "glued twice", by=armand) == []
    assert note_steps(work, [StepNote(step="x", state="open")], by=armand, at=timezone.now()) == []
    assert LogEntry.objects.filter(verb="step.noted").count() == 1


def test_words_on_a_step_that_is_not_done_yet_are_kept(work, armand, case, send, see):
    key = first_step(work)

    send("steps", case.number, work.number, by=armand, step=key, state="open", words="it dries")

    assert latest_notes(work)[key].state == "open"
    assert "it dries" in see("work", case.number, work.number, by=armand)


def test_a_step_can_be_opened_again(work, armand, case, send):
    note(work, "done", by=armand)

    send("steps", case.number, work.number, by=armand, step=first_step(work), state="open")

    assert latest_notes(work)[first_step(work)].state == "open"


@pytest.mark.parametrize("state", ["otherwise", "left_out"])
def test_a_step_done_otherwise_says_what_happened(work, armand, case, send, state):
    key = first_step(work)

    answer = send("steps", case.number, work.number, by=armand, step=key, state=state)

    page = html.unescape(answer.content.decode())
    opened = re.search(rf'<details class="tap-other" name="way-{key}"\s+open>', page)
    assert answer.status_code == 422
    assert "Say what really happened at" in page
    assert opened
    assert not work.step_notes.exists()
    with pytest.raises(IntegrityError), transaction.atomic():
        note(work, state, by=armand)


def test_a_tap_that_cannot_be_noted_keeps_what_was_typed(work, armand, case, send):
    said = {"step": first_step(work), "state": "otherwise", "words": "x" * 501}

    answer = send("steps", case.number, work.number, by=armand, **said)

    assert answer.status_code == 422
    assert f'value="{"x" * 501}"' in answer.text
    assert not work.step_notes.exists()


def test_all_others_are_done_as_written_with_one_press(work, lise, case, send):
    note(work, "left_out", "it was dry", by=lise)

    send("steps", case.number, work.number, by=lise, rest="1")

    notes = latest_notes(type(work).objects.get(pk=work.pk))
    states = [notes[step.key].state for step in work.version.procedure.steps]
    assert states == ["left_out", *["done"] * (len(states) - 1)]


def test_words_and_room_are_kept_and_logged_without_them(work, armand, case, send):
    send(
        "describe",
        case.number,
        work.number,
        by=armand,
        words="The seam was full of old glue.",
        room_t_c="19,5",
        room_rh_pct="54",
    )

    work.refresh_from_db()
    assert (work.words, str(work.room_rh_pct)) == ("The seam was full of old glue.", "54.0")
    assert LogEntry.objects.get(verb="work.described").details == {"work": 1}


def test_a_room_that_cannot_be_is_refused_and_the_words_stay(work, armand, case, send):
    answer = send(
        "describe", case.number, work.number, by=armand, words="Long words", room_rh_pct="140"
    )

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Long words" in page
    assert "More than 100" in page
    work.refresh_from_db()
    assert work.words == ""


def test_signed_work_is_no_longer_described_nor_ticked(plain_work, armand):
    """Also when what the caller holds was read before the signature."""
    stale = type(plain_work).objects.select_related("sign_off", "case").get(pk=plain_work.pk)
    assert not stale.is_signed
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)
    stale.words = "Something else."

    with pytest.raises(WorkClosedError):
        describe_work(stale, by=armand, at=timezone.now())
    with pytest.raises(WorkClosedError):
        note(stale, "left_out", "no", by=armand)

    plain_work.refresh_from_db()
    assert plain_work.words == ""


def test_who_only_reads_sees_the_steps_and_no_form(work, armand, tom, case, see):
    note(work, "otherwise", "glued twice", by=armand)

    page = see("work", case.number, work.number, by=tom)

    assert "glued twice" in page
    assert "not noted" in page
    assert 'name="state"' not in page
    assert "data-taps" not in page


def test_signed_work_is_shown_without_a_form(plain_work, armand, case, see):
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)

    page = see("work", case.number, plain_work.number, by=armand)

    assert "Signed off by Armand Sautarel" in page
    assert 'name="state"' not in page
    assert "Note a material" not in page
    assert "Bag a removed part" not in page
    assert 'name="do"' not in page
