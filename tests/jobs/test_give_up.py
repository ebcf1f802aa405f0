"""A job that cannot be done stands in a list, with its reason; nothing goes on waiting for it."""

from __future__ import annotations

import datetime as dt
import errno

import pytest
from django.utils import timezone

from repairs.jobs import actions, chores
from repairs.jobs.actions import enqueue, let_go, try_again
from repairs.jobs.models import Chore, Job
from repairs.jobs.worker import Worker
from tests.jobs.chores import ENDS, RUNS

pytestmark = pytest.mark.django_db
NIGHT = dt.datetime(2026, 11, 25, 2, 30, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def nothing_yet():
    RUNS.clear()
    ENDS.clear()


def run_out(row: Job) -> Job:
    """Let it be tried as often as it is tried."""
    for _attempt in range(actions.MOST_ATTEMPTS):
        Job.objects.filter(pk=row.pk).update(not_before=timezone.now())
        Worker().run_all()
    row.refresh_from_db()
    return row


@pytest.mark.parametrize(
    ("fault", "trouble"),
    [(errno.ENOSPC, "no_room"), (errno.EDQUOT, "no_room"), (errno.EIO, "disk")],
)
def test_trouble_of_the_disk_is_told_from_a_fault_of_the_program(fault, trouble):
    row = run_out(enqueue("tests.fill", number=fault))

    assert (row.state, row.trouble, row.attempts) == (Job.State.FAILED, trouble, 3)
    assert [("given up", trouble)] == ENDS


def test_each_try_waits_longer_than_the_last():
    row = enqueue("tests.fill", number=errno.ENOSPC)
    waits = []
    for _attempt in range(2):
        before = timezone.now()
        Worker().run_all()
        row.refresh_from_db()
        waits.append((row.not_before - before).total_seconds())
        Job.objects.update(not_before=timezone.now())

    assert 5 <= waits[0] < 30 < 60 <= waits[1]


def test_a_job_whose_worker_was_killed_three_times_gives_up_too():
    row = enqueue("tests.fill", number=errno.ENOSPC)
    late = timezone.now() - dt.timedelta(seconds=1)
    Job.objects.update(state="running", worker="dead", attempts=3, lease_until=late)

    assert Worker().run_all() == 0

    row.refresh_from_db()
    assert (row.state, row.trouble) == (Job.State.FAILED, "never_ended")
    assert ENDS == [("given up", "never_ended")]


def test_a_failed_job_that_is_tried_again_has_all_its_tries_anew():
    row = run_out(enqueue("tests.fill", number=errno.EIO))

    assert try_again(row)
    assert not try_again(row)

    assert run_out(row).attempts == 3
    assert ENDS == [("given up", "disk"), ("again", errno.EIO), ("given up", "disk")]


def test_a_job_let_go_leaves_the_list_and_is_not_tried_again():
    row = run_out(enqueue("tests.fill", number=errno.EIO))

    assert let_go(row, by="helene")

    assert not let_go(row, by="helene")
    assert not try_again(row)
    assert not Job.objects.failed().exists()
    assert ENDS[1:] == [("let go", "helene")]


@pytest.fixture
def one_chore(monkeypatch):
    monkeypatch.setattr(chores, "_CHORES", ["tests.note"])


def test_a_chore_is_queued_once_a_day_whoever_looks(one_chore):
    Chore.objects.create(name="tests.note", begun_on=NIGHT.date() - dt.timedelta(days=1))

    looks = [chores.queue_due(NIGHT + dt.timedelta(hours=hours)) for hours in (0, 1, 12)]
    looks.append(chores.queue_due(NIGHT + dt.timedelta(days=1)))

    assert looks == [["tests.note"], [], [], ["tests.note"]]
    assert Job.objects.filter(name="tests.note").count() == 2


def test_a_machine_that_was_off_for_days_does_it_once_when_it_comes_back(one_chore):
    Chore.objects.create(name="tests.note", begun_on=NIGHT.date() - dt.timedelta(days=9))

    assert chores.queue_due(NIGHT + dt.timedelta(hours=9)) == ["tests.note"]
    assert chores.queue_due(NIGHT + dt.timedelta(hours=9)) == []


def test_nothing_is_queued_before_the_hour_nor_on_the_first_day_of_a_house(one_chore):
    assert chores.queue_due(NIGHT) == []  # the house is new: the next night is the first
    assert chores.queue_due(NIGHT + dt.timedelta(days=1, hours=-2)) == []
    assert chores.queue_due(NIGHT + dt.timedelta(days=1)) == ["tests.note"]


def test_a_worker_looks_at_the_clock_by_itself(one_chore, monkeypatch):
    Chore.objects.create(name="tests.note", begun_on=dt.date(2020, 1, 1))
    worker = Worker()
    monkeypatch.setattr(chores, "FIRST_HOUR", 0)

    worker._look_at_the_clock()
    worker._look_at_the_clock()

    assert Job.objects.filter(name="tests.note").count() == 1
