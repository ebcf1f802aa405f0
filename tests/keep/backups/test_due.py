"""Once a day, at its hour, also after a night in which the machine was off."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ImproperlyConfigured

from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.keep.due import BACK_UP, backup_if_due, is_due, queue_backup
from repairs.keep.models import KeepRun
from workshop.env import env_hour

pytestmark = pytest.mark.django_db
PARIS = ZoneInfo("Europe/Paris")


def at(day: int, hour: int, minute: int = 0) -> dt.datetime:
    return dt.datetime(2026, 11, day, hour, minute, tzinfo=PARIS)


def run(begun_at: dt.datetime, **said) -> KeepRun:
    words = {"sort": "backup", "is_good": True, "place": "/disk"} | said
    return KeepRun.objects.create(begun_at=begun_at, ended_at=begun_at, **words)


@pytest.fixture
def nightly(settings, disk):
    settings.BACKUP_TO, settings.BACKUP_AT = str(disk), "02:30"


@pytest.mark.parametrize(
    ("last", "now", "due"),
    [
        (at(24, 2, 30), at(25, 2, 29), False),
        (at(24, 2, 30), at(25, 2, 30), True),
        (at(25, 2, 31), at(25, 9), False),
        (at(22, 2, 30), at(25, 1), True),
    ],
)
def test_it_is_due_once_a_day(nightly, last, now, due):
    run(last)

    assert is_due(now) is due


def test_a_failed_one_is_not_tried_again_all_day(nightly):
    run(at(25, 2, 30), is_good=False)

    assert not is_due(at(25, 9))


def test_a_drill_is_no_backup(nightly):
    run(at(25, 3), sort="drill")

    assert is_due(at(25, 9))


def test_without_a_folder_none_is_made(settings):
    assert not backup_if_due(at(25, 9))


def test_it_is_queued_once_and_made_by_the_worker(nightly, house_of_two, settings, disk):
    assert backup_if_due(at(25, 9))
    assert not backup_if_due(at(25, 9, 1))
    assert queue_backup() is None

    Worker().run_all()

    job, made = Job.objects.get(name=BACK_UP), KeepRun.objects.get()
    assert (job.state, job.result["files"]) == ("done", 2)
    assert (disk / made.entry).is_dir()


def test_a_refusal_of_the_night_is_kept_with_its_sentence(nightly, house, settings, own_data):
    settings.BACKUP_TO = str(own_data / "inside")
    queue_backup()

    Worker().run_all()

    assert "one disk would take both" in Job.objects.get().message
    assert "one disk would take both" in KeepRun.objects.get().trouble


@pytest.mark.parametrize(("typed", "read"), [("02:30", "02:30"), ("2230", "22:30"), ("", "02:30")])
def test_the_hour_is_read(monkeypatch, typed, read):
    monkeypatch.setenv("SAUTEREAU_BACKUP_AT", typed)

    assert env_hour("SAUTEREAU_BACKUP_AT", "02:30") == read


def test_what_is_no_hour_is_told_with_its_variable(monkeypatch):
    monkeypatch.setenv("SAUTEREAU_BACKUP_AT", "at night")

    with pytest.raises(ImproperlyConfigured, match="SAUTEREAU_BACKUP_AT must be a time"):
        env_hour("SAUTEREAU_BACKUP_AT", "02:30")
