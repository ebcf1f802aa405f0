"""A job belongs to one worker at a time; what a dead worker held is taken up by the next."""

from __future__ import annotations

import datetime as dt
import time
from contextlib import ExitStack

import pytest
from django.db import OperationalError
from django.utils import timezone, translation

from repairs.jobs import actions
from repairs.jobs import worker as working
from repairs.jobs.actions import MOST_ATTEMPTS, claim_next, enqueue, fail, finish, renew
from repairs.jobs.models import Job
from repairs.jobs.registry import trouble_words
from repairs.jobs.worker import Worker
from tests import factories
from tests.beside import beside, shared_database
from tests.jobs import chores

LEASE_S = 4.0  # longer than a busy machine keeps a thread waiting


def abandon(row: Job, attempts: int = 1) -> None:
    """As if its worker had died: running, and the lease is over."""
    Job.objects.filter(pk=row.pk).update(
        state=Job.State.RUNNING,
        worker="dead",
        attempts=attempts,
        lease_until=timezone.now() - dt.timedelta(seconds=1),
    )


@pytest.fixture
def queued(db) -> Job:
    chores.RUNS.clear()
    return enqueue("tests.note", word="glue")


def test_a_claimed_job_is_not_given_to_a_second_worker(queued):
    first, second = claim_next("one"), claim_next("two")

    assert first == queued
    assert second is None


def test_two_workers_get_two_jobs(queued):
    other = enqueue("tests.note", word="clamp")

    assert [claim_next("one"), claim_next("two")] == [queued, other]


def test_an_abandoned_job_is_run_again(queued):
    abandon(queued)

    Worker().run_all()

    queued.refresh_from_db()
    assert (queued.state, queued.attempts, chores.RUNS) == (Job.State.DONE, 2, ["glue"])


def test_a_job_under_a_live_lease_is_left_alone(queued):
    claim_next("alive")

    assert Worker().run_all() == 0
    assert chores.RUNS == []


def test_a_job_started_three_times_without_an_end_has_failed(queued):
    abandon(queued, attempts=MOST_ATTEMPTS)

    assert claim_next("next") is None

    queued.refresh_from_db()
    assert (queued.state, queued.lease_until) == (Job.State.FAILED, None)
    assert queued.trouble == "never_ended"


def test_a_job_given_up_does_not_hold_up_those_behind_it(queued):
    abandon(queued, attempts=MOST_ATTEMPTS)
    behind = enqueue("tests.note", word="clamp")

    assert claim_next("next") == behind


def test_a_worker_prolongs_only_the_lease_of_a_job_that_is_still_its_own(queued):
    row = claim_next("slow")
    assert row is not None
    still_mine = renew(row, "slow")
    abandon(queued)
    claim_next("quick")

    assert still_mine
    assert not renew(row, "slow")


def test_a_worker_that_lost_its_job_changes_nothing_when_it_comes_back(queued):
    late = claim_next("slow")
    assert late is not None
    abandon(queued)
    claim_next("quick")

    finish(late, "slow", {"noted": "too late"})
    fail(late, "slow", "too late", again=False)

    queued.refresh_from_db()
    assert (queued.state, queued.worker, queued.result) == (Job.State.RUNNING, "quick", {})


def test_a_job_given_up_says_so_in_the_language_of_whoever_reads_it(db):
    row = enqueue("tests.note", by=factories.person("basile", "luthier", "en"), word="glue")
    abandon(row, attempts=MOST_ATTEMPTS)

    claim_next("next")

    row.refresh_from_db()
    said = {}
    for language in ("en", "fr"):
        with translation.override(language):
            said[language] = trouble_words(row.trouble, row.message)
    assert said["en"] == "It was started three times and never came to its end."
    assert said["fr"] not in ("", said["en"])


@pytest.mark.django_db(transaction=True)
def test_two_workers_at_once_never_run_the_same_job(tmp_path):
    lines = tmp_path / "lines"
    with shared_database(tmp_path) as address, ExitStack() as stack:
        for number in range(40):
            enqueue("tests.write", word=str(number), file=str(lines), processes=2)
        workers = [
            stack.enter_context(
                beside("tests.jobs.chores:serve", database=address, folder=tmp_path)
            )
            for _number in range(2)
        ]
        for worker in workers:
            worker.hear()
        for worker in workers:
            worker.go()
        counts = [int(worker.end()) for worker in workers]

        written = [line.split() for line in lines.read_text().splitlines()]
        assert sum(counts) == 40
        assert min(counts) > 0
        assert sorted(int(word) for word, _process in written) == list(range(40))
        assert len({process for _word, process in written}) == 2
        assert set(Job.objects.values_list("state", "attempts")) == {(Job.State.DONE, 1)}


def _wait_until_renewed(row: Job) -> None:
    """Until the worker beside has prolonged the lease past its first end, and that has come."""
    row.refresh_from_db()
    first = row.lease_until
    assert first is not None
    while row.lease_until == first or timezone.now() < first:
        time.sleep(0.05)
        row.refresh_from_db()


def _wait_until_over(row: Job) -> None:
    row.refresh_from_db()
    assert row.lease_until is not None
    while timezone.now() <= row.lease_until:
        time.sleep(0.05)


@pytest.mark.django_db(transaction=True)
def test_the_job_of_a_killed_worker_is_run_by_the_next_after_its_lease(tmp_path):
    with shared_database(tmp_path) as address:
        row = enqueue("tests.long", flag=str(tmp_path / "flag"))
        serve = "tests.jobs.chores:serve_with_short_lease"
        with beside(serve, str(LEASE_S), database=address, folder=tmp_path) as worker:
            worker.hear()
            worker.go()
            assert worker.hear() == "in the middle"
            _wait_until_renewed(row)
            while_it_lives = claim_next("next")
            worker.kill()
        just_after = claim_next("next")
        _wait_until_over(row)
        ran = Worker().run_all()

        row.refresh_from_db()
        assert (while_it_lives, just_after, ran) == (None, None, 1)
        assert (row.state, row.attempts, row.result) == (Job.State.DONE, 2, {"run": "second"})


@pytest.mark.django_db(transaction=True)
def test_a_lease_is_kept_over_a_moment_in_which_the_database_is_locked(monkeypatch, caplog):
    chores.RENEWED.queue.clear()
    row = enqueue("tests.outlast", renewals=3)
    asked, real = [], actions.renew

    def renew_but_once(job: Job, name: str) -> bool:
        asked.append(job.pk)
        if len(asked) == 1:
            raise OperationalError("database is locked")
        kept = real(job, name)
        chores.RENEWED.put(kept)
        return kept

    monkeypatch.setattr(actions, "renew", renew_but_once)
    monkeypatch.setattr(working, "RENEW_S", 0.02)

    Worker().run_all()

    row.refresh_from_db()
    assert (row.state, row.attempts, row.result) == (Job.State.DONE, 1, {"renewed": 3})
    assert "was not renewed" in caplog.text
