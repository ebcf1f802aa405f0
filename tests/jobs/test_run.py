"""A queued job is run once, tried again when it stumbles, and says what became of it."""

from __future__ import annotations

import datetime as dt
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import transaction
from django.utils import timezone

from repairs.jobs.actions import enqueue
from repairs.jobs.models import Job
from repairs.jobs.registry import job
from repairs.jobs.worker import Worker
from tests import factories
from tests.jobs import chores


@pytest.fixture(autouse=True)
def no_runs_yet(db):
    chores.RUNS.clear()


def let_time_pass(row: Job) -> None:
    """As if the pause before the next attempt were over."""
    Job.objects.filter(pk=row.pk).update(not_before=timezone.now() - dt.timedelta(seconds=1))


def test_a_queued_job_runs_once():
    row = enqueue("tests.note", word="glue")

    first, second = Worker().run_all(), Worker().run_all()

    row.refresh_from_db()
    assert (first, second, chores.RUNS) == (1, 0, ["glue"])
    assert (row.state, row.result, row.attempts) == (Job.State.DONE, {"noted": "glue"}, 1)
    assert row.finished_at is not None
    assert row.lease_until is None


def test_jobs_run_in_the_order_in_which_they_were_queued():
    for word in ("saw", "glue", "clamp"):
        enqueue("tests.note", word=word)

    Worker().run_all()

    assert chores.RUNS == ["saw", "glue", "clamp"]


def test_a_job_whose_transaction_is_rolled_back_never_runs():
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        enqueue("tests.note", word="never")
        _ = 1 // 0

    ran = Worker().run_all()

    assert (ran, chores.RUNS) == (0, [])


def test_a_job_that_nobody_wrote_is_refused_when_it_is_queued():
    with pytest.raises(RuntimeError, match=r"tests\.nowhere"):
        enqueue("tests.nowhere")

    assert not Job.objects.exists()


def test_two_jobs_cannot_bear_one_name():
    def other(progress: object) -> None:
        """Never called."""

    with pytest.raises(RuntimeError, match=r"tests\.note"):
        job("tests.note")(other)


def test_progress_is_kept():
    row = enqueue("tests.note", word="glue")

    Worker().run_all()

    row.refresh_from_db()
    assert (row.progress_done, row.progress_total, row.progress_pct) == (3, 7, 42)


def test_a_job_without_progress_stands_at_nought():
    assert enqueue("tests.note", word="glue").progress_pct == 0


@pytest.mark.parametrize(
    ("language", "sentence"),
    [("en", "This field is required."), ("fr", "Ce champ est obligatoire.")],
)
def test_a_refusal_ends_the_job_with_its_sentence_in_the_language_of_the_owner(language, sentence):
    owner = factories.person("basile", "luthier", language)
    row = enqueue("tests.refuse", by=owner)

    Worker().run_all()

    row.refresh_from_db()
    assert (row.state, row.message, row.attempts) == (Job.State.FAILED, sentence, 1)


def test_a_refused_job_is_not_tried_again():
    row = enqueue("tests.refuse")
    Worker().run_all()
    let_time_pass(row)

    ran = Worker().run_all()

    assert (ran, chores.RUNS) == (0, ["refuse"])


def test_a_job_that_stumbles_is_tried_again_a_little_later(caplog):
    row = enqueue("tests.stumble", times=1)

    at_once = Worker().run_all()
    let_time_pass(row)
    later = Worker().run_all()

    row.refresh_from_db()
    assert (at_once, later) == (1, 1)
    assert (row.state, row.attempts) == (Job.State.DONE, 2)
    assert "the disk is full" in caplog.text


def test_a_job_that_stumbles_three_times_has_failed(caplog):
    row = enqueue("tests.stumble", times=9)

    for _attempt in range(5):
        Worker().run_all()
        let_time_pass(row)

    row.refresh_from_db()
    assert (row.state, row.attempts, len(chores.RUNS)) == (Job.State.FAILED, 3, 3)
    assert row.is_over
    assert len(caplog.records) == 3


def test_a_program_s_fault_is_not_shown_to_the_person(caplog):
    row = enqueue("tests.stumble", times=9)
    Job.objects.update(attempts=2)

    Worker().run_all()

    row.refresh_from_db()
    assert (row.state, row.message) == (Job.State.FAILED, "")


def test_a_job_is_not_run_before_its_time():
    row = enqueue("tests.note", word="tomorrow")
    Job.objects.filter(pk=row.pk).update(not_before=timezone.now() + dt.timedelta(days=1))

    assert Worker().run_all() == 0


def test_the_work_command_runs_what_is_queued_and_says_how_much():
    enqueue("tests.note", word="glue")
    enqueue("tests.note", word="clamp")
    out = StringIO()

    call_command("work", "--once", stdout=out)

    assert "2 jobs were run" in out.getvalue()
