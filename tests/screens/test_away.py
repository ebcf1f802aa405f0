"""A database that is away is said to be; what was typed stays, and is done once it is back."""

from __future__ import annotations

import json

import pytest
from django.db import InterfaceError, OperationalError
from django.test import Client as Browser
from django.urls import reverse

from repairs.people.models import Client
from repairs.storage.away import is_of_database_away
from tests.screens.filling import Forms, form_of, send, tokens_in
from tests.screens.test_full_disk import raising

AWAY = [
    OperationalError("database is locked"),
    OperationalError("terminating connection due to administrator command"),
    OperationalError("could not connect to server: Connection refused"),
    InterfaceError("connection already closed"),
]


@pytest.fixture
def adding(helene):
    browser = Browser(enforce_csrf_checks=True, raise_request_exception=False)
    browser.force_login(helene)
    return browser, form_of(browser, reverse("people:client_add"))


@pytest.mark.parametrize("fault", AWAY)
def test_it_is_said_and_the_same_form_may_be_sent_again(adding, monkeypatch, fault):
    browser, form = adding
    with monkeypatch.context() as patch:
        patch.setattr("repairs.people.views.actions.enter_client", raising(fault))
        answer = send(browser, form, name="Basile Ferrand")

    assert answer.status_code == 503
    assert "The database does not answer just now" in answer.text
    assert "Basile Ferrand" in answer.text
    (again,) = Forms(answer.text, form.action).found
    assert tokens_in(answer.text) == form.fields["once"]  # what was kept unsaid is not kept twice
    assert [send(browser, again).status_code for _time in range(2)] == [302, 302]
    assert Client.objects.get().name == "Basile Ferrand"


def test_also_before_any_view_and_for_a_page_that_is_only_read(adding, monkeypatch):
    browser, form = adding
    gone = raising(OperationalError("the database system is starting up"))
    monkeypatch.setattr("repairs.screens.once.claim", gone)
    monkeypatch.setattr("django.contrib.sessions.backends.db.SessionStore.load", gone)
    monkeypatch.setattr("repairs.people.context.House.present", gone)

    sent, read = send(browser, form, name="Basile Ferrand"), browser.get(form.action)

    assert (sent.status_code, read.status_code) == (503, 503)
    assert "Basile Ferrand" in sent.text
    assert "Open the page again" in read.text
    assert "<form" not in read.text


def test_a_script_is_told_in_its_own_way(client, armand, case, monkeypatch):
    client.force_login(armand)
    client.raise_request_exception = False
    monkeypatch.setattr("repairs.photos.views.actions.begin_upload", raising(AWAY[0]))
    sent = json.dumps({"name": "IMG_2.jpg", "size": 10, "phase": "arrival"})
    place = reverse("photos:begin", args=[case.number])

    answer = client.post(place, sent, "application/json", headers={"accept": "application/json"})

    assert answer.status_code == 503
    assert "Try again in a minute" in answer.json()["error"]


@pytest.mark.parametrize("words", ["no such table: repairs_wood", "near “SELEC”: syntax error"])
def test_a_slip_of_ours_is_none(words):
    assert not is_of_database_away(OperationalError(words))
    assert not is_of_database_away(OperationalError("database or disk is full"))
    assert not is_of_database_away(RuntimeError("database is locked"))
    assert is_of_database_away(AWAY[0])
