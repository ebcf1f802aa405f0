"""Whoever comes in, looks at people or takes a file out is told by the log, without their names."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.people.actions import save_user
from tests import factories
from tests.whole.asking import address
from tests.whole.conftest import world

WORDS = "roue-et-chien-1771"
__all__ = ["world"]

# The address, what the log says of it, and who goes there.
TOLD = {
    "people:client": "client.looked_at",
    "people:client_edit": "client.looked_at",
    "papers:file": "paper.taken_out",
    "papers:data": "paper.taken_out",
    "invoices:file": "paper.taken_out",
    "invoices:xml": "paper.taken_out",
    "invoices:paper": "paper.taken_out",
    "invoices:export": "books.exported",
    "estimates:decide_file": "consent.link_file_taken_out",
    "estimates:decide_photo": "consent.link_file_taken_out",
}


def verbs(since: int) -> list[str]:
    return list(
        LogEntry.objects.filter(seq__gt=since).order_by("seq").values_list("verb", flat=True)
    )


def last() -> int:
    return LogEntry.objects.order_by("seq").values_list("seq", flat=True).last() or 0


def test_every_file_and_every_look_at_a_person_is_told_once_an_hour(world, helene):
    known = world(helene)
    house, owner = Browser(), Browser()
    house.force_login(helene)
    told = {}
    for name in TOLD:
        LogEntry.objects.update(at=timezone.now() - dt.timedelta(hours=2))
        since = last()
        browser = owner if TOLD[name].startswith("consent.") else house
        for _time in range(2):
            answer: Any = browser.get(address(name, known))
            assert answer.status_code == 200, name
            b"".join(answer.streaming_content) if answer.streaming else answer.content
        told[name] = verbs(since)

    often = {"invoices:export": ["books.exported"] * 2}  # each of them counts
    assert told == {name: [verb] for name, verb in TOLD.items()} | often


def test_the_door_is_told_of_without_a_name_or_a_password(client, helene, armand):
    save_user(armand, by=helene, at=timezone.now(), password=WORDS)
    since = last()
    door = reverse("people:sign_in")

    client.post(door, {"username": armand.username, "password": "another-1771"})
    client.post(door, {"username": armand.username, "password": WORDS})
    client.post(reverse("people:sign_out"))
    save_user(armand, by=helene, at=timezone.now(), password="roue-et-chien-1772")

    assert [one for one in verbs(since) if one.startswith("person.")] == [
        "person.refused",
        "person.signed_in",
        "person.signed_out",
        "person.changed",
        "person.password_changed",
    ]
    said = json.dumps(list(LogEntry.objects.values("subject", "details")))
    assert not [one for one in (armand.username, armand.last_name, "1771", "1772") if one in said]


def test_a_link_tells_each_file_once_an_hour_and_no_one_s_name(case, armand):
    factories.photo(case, by=armand)
    estimate = factories.estimate(case, by=armand)
    link, token = factories.link(estimate, by=armand)
    place = reverse("estimates:decide_file", args=[token])
    browser: Any = Browser()

    for _time in range(3):
        assert b"".join(browser.get(place).streaming_content)
    LogEntry.objects.filter(verb="consent.link_file_taken_out").update(
        at=timezone.now() - dt.timedelta(hours=2)
    )
    assert b"".join(browser.get(place).streaming_content)

    lines = LogEntry.objects.filter(verb="consent.link_file_taken_out")
    assert [(line.actor_id, line.subject) for line in lines] == [(None, case.log_key)] * 2
    assert lines[0].details == {"version": estimate.version, "link": link.pk, "file": "paper"}
    assert token not in json.dumps(list(LogEntry.objects.values("subject", "details")))


@pytest.mark.parametrize("token", ["", "x" * 43])
def test_a_link_that_is_none_is_told_of_nowhere(db, token):
    Browser().get(f"/consent/{token}/paper.pdf")

    assert not LogEntry.objects.exists()
