"""What the house does by itself at night is done by its worker, and told when it does not go."""

from __future__ import annotations

import datetime as dt
import uuid

import pytest
from django.core import mail
from django.utils import timezone

from repairs.jobs.actions import enqueue
from repairs.jobs.chores import queue_due
from repairs.jobs.models import Chore, Job
from repairs.jobs.worker import Worker
from repairs.screens.once_models import SentForm

pytestmark = pytest.mark.django_db


def test_every_chore_of_the_house_is_queued_and_done_at_night(house, settings):
    settings.HEAD_TO, settings.EMAIL_HOST = ["notaire@example.org"], "mail.example.org"
    tonight = timezone.localtime().replace(hour=3) + dt.timedelta(days=1)
    queue_due(timezone.localtime().replace(hour=3))

    names = queue_due(tonight)
    Worker().run_all()

    assert {"keep.sweep", "keep.verify", "keep.head"} <= set(names)
    assert Chore.objects.count() == len(names)
    assert not Job.objects.exclude(state=Job.State.DONE).exists()
    assert [message.to for message in mail.outbox] == [["notaire@example.org"]]


def test_a_head_that_could_not_be_sent_stands_among_what_failed(client, house, helene, settings):
    settings.HEAD_TO, settings.EMAIL_HOST = ["notaire@example.org"], ""
    job = enqueue("keep.head")
    for _try in range(3):
        Job.objects.filter(pk=job.pk).update(not_before=timezone.now())
        Worker().run_all()
    client.force_login(helene)

    page = client.get("/keep/failed/").content.decode()

    assert Job.objects.get(pk=job.pk).state == Job.State.FAILED
    assert "sending the head of the log" in page.lower()
    assert "SAUTEREAU_MAIL_HOST" in page


def test_tokens_of_forms_long_sent_are_swept_and_young_ones_stay(house):
    now = timezone.now()
    for number, days in enumerate((8, 1)):
        SentForm.objects.create(
            token_hash=f"{number:064}",
            words_hash="0" * 64,
            attempt=uuid.uuid4(),
            at=now - dt.timedelta(days=days),
        )

    enqueue("keep.sweep")
    Worker().run_all()

    assert [row.token_hash for row in SentForm.objects.all()] == [f"{1:064}"]
