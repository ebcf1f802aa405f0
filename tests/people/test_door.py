"""Who came in, who went and who was not let in stands in the log, without the name in clear."""

from __future__ import annotations

import datetime as dt
import json

import pytest
from django.urls import reverse

from repairs.audit.actions import salted
from repairs.audit.models import LogEntry, LogSalt, Tally
from repairs.people import door
from repairs.people.actions import save_user

NOON = dt.datetime(2026, 11, 25, 12, 5, tzinfo=dt.UTC)
WORDS = "roue-et-chien-1771"


@pytest.fixture
def known(helene):
    return save_user(helene, by=None, at=NOON, password=WORDS)


def told(verb: str) -> list[LogEntry]:
    return list(LogEntry.objects.filter(verb=verb).order_by("seq"))


def sign_in(client, name: str, password: str):
    return client.post(reverse("people:sign_in"), {"username": name, "password": password})


def test_coming_and_going_stand_in_the_log(client, known):
    assert sign_in(client, known.username, WORDS).status_code == 302
    client.post(reverse("people:sign_out"))

    (came,), (went,) = told("person.signed_in"), told("person.signed_out")
    assert came.actor == went.actor == known
    assert came.subject == f"user:{known.pk}"


def test_who_is_not_let_in_is_told_with_a_salted_name(client, known):
    assert sign_in(client, known.username, "not it").status_code == 200

    (line,) = told("person.refused")
    salt = LogSalt.objects.get(entry=line).value
    assert (line.actor, line.subject) == (None, f"user:{known.pk}")
    assert line.details == {"hashed": {"name": salted(salt, known.username)}}


def test_a_name_that_is_none_may_be_a_password_and_is_nowhere_in_clear(client, known):
    sign_in(client, WORDS, "helene")

    (line,) = told("person.refused")
    assert line.subject == door.NOBODY
    assert WORDS not in json.dumps(list(LogEntry.objects.values("verb", "subject", "details")))


def test_an_empty_form_is_no_try(client, known):
    sign_in(client, "", "")

    assert told("person.refused") == []


def test_a_thousand_tries_of_an_hour_are_two_lines(db, known):
    for number in range(50):
        door.note_refused(f"name {number}", at=NOON + dt.timedelta(minutes=number // 2))
    assert len(told("person.refused")) == 1

    door.note_signed_in(known, at=NOON + dt.timedelta(hours=1))

    (counted,) = told("person.refused.counted")
    assert counted.details == {"count": 50, "hour": "2026-11-25T12:00+00:00"}
    assert not Tally.objects.exists()


def test_one_try_of_an_hour_is_told_once(db, known):
    door.note_refused("nobody", at=NOON)
    door.note_refused("nobody", at=NOON + dt.timedelta(hours=3))

    assert len(told("person.refused")) == 2
    assert told("person.refused.counted") == []


def test_tries_of_each_account_are_counted_by_themselves(known, armand):
    for name in (known.username, armand.username, known.username):
        door.note_refused(name, at=NOON)

    assert [line.subject for line in told("person.refused")] == [
        f"user:{known.pk}",
        f"user:{armand.pk}",
    ]


def test_a_changed_password_stands_in_the_log_and_a_first_one_does_not(known, armand):
    before = len(told("person.password_changed"))
    save_user(armand, by=known, at=NOON, password="un-autre-mot-1772")

    (line,) = told("person.password_changed")[before:]
    assert (line.actor, line.subject) == (known, f"user:{armand.pk}")


def test_a_look_at_a_client_is_told_once_an_hour_for_each_person(client, owner, armand, helene):
    for person in (armand, armand, helene):
        client.force_login(person)
        client.get(reverse("people:client", args=[owner.pk]))

    lines = told("client.looked_at")
    assert [line.actor for line in lines] == [armand, helene]
    assert {line.subject for line in lines} == {f"client:{owner.pk}"}


def test_a_paper_taken_out_and_an_export_stand_in_the_log(client, shop, invoice, helene):
    client.force_login(helene)
    client.get(reverse("invoices:file", args=[invoice.number, "pdf"])).close()
    client.get(reverse("invoices:file", args=[invoice.number, "xml"]))
    client.get(reverse("invoices:export", args=[invoice.issued_on.year, "fec"]))

    (paper,), (export,) = told("paper.taken_out"), told("books.exported")
    assert (paper.actor, paper.subject) == (helene, f"paper:{invoice.paper_id}")
    assert export.details["what"] == "fec"
