"""A process that sends and develops photos is killed at any moment: what it said stays true."""

from __future__ import annotations

import hashlib
import random
import sys
import time
from io import StringIO
from itertools import count

import pytest
from django.core.management import call_command
from django.utils import timezone

from repairs.cases.models import Case
from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.people.models import User
from repairs.photos import developing
from repairs.photos.development import develop_again
from repairs.photos.models import Photo
from repairs.storage import files as store
from tests import factories
from tests.beside import beside, ready, shared_database

KILLS = 5  # of each round; the whole set has eight rounds


def send_for_ever(case: str, person: str, first: str) -> None:
    """In a process beside: one photo after another, each told when the house says it has it."""
    ready()
    stay, by = Case.objects.get(pk=case), User.objects.get(pk=person)
    for seed in count(int(first)):
        data = factories.jpeg(160, 120, seed=seed) + seed.to_bytes(4)
        factories.upload(stay, data, by=by, name=f"{seed}.jpg")
        sys.stdout.write(f"{hashlib.sha256(data).hexdigest()}\n")
        sys.stdout.flush()
        if seed % 2:
            Worker().run_one()


def abandon_all() -> None:
    """The killed one renews no lease any more; nobody waits for its end here."""
    Job.objects.filter(state="running").update(lease_until=timezone.now())
    Job.objects.update(not_before=timezone.now())


@pytest.mark.share(8)
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("round_number", range(8))
def test_what_was_acknowledged_before_a_kill_is_there_after_it(
    tmp_path, case: Case, armand: User, round_number
):
    lot = random.Random(round_number)  # noqa: S311 - moments, no secrets
    told: list[str] = []
    with shared_database(tmp_path) as address:
        for kill in range(KILLS):
            words = (str(case.pk), str(armand.pk), str(1000 * (kill + 1)))
            place = "tests.photos.test_killed:send_for_ever"
            with beside(place, *words, database=address, folder=tmp_path) as sender:
                sender.hear()
                sender.go()
                told += [sender.hear() for _line in range(lot.randint(1, 3))]
                time.sleep(lot.random() / 20)
                sender.kill()
                told += [line.strip() for line in sender.lines if line.endswith("\n")]
            abandon_all()
            assert Photo.objects.filter(original__sha256__in=told).count() == len(told)
        Worker().run_all()
        # A job that was killed three times waits for the button; its original is kept.
        for photo in Photo.objects.filter(state="failed"):
            develop_again(photo, by=armand, at=timezone.now())
        Worker().run_all()
        developing.darkroom().close()

        assert set(Photo.objects.values_list("state", flat=True)) == {"ready"}
        for photo in Photo.objects.select_related("original"):
            assert photo.original is not None
            kept = store.path_of(photo.original.file_name)
            assert store.sha256_of(kept) == photo.original.sha256
        call_command("verify_store", stdout=StringIO())  # exits with 1 when anything is odd
