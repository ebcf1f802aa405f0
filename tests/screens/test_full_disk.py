"""A disk that fills is said before; of a full one a sentence is said, and what was typed stays."""

from __future__ import annotations

import errno
import json
from collections import namedtuple

import pytest
from django.db import OperationalError
from django.test import Client as Browser
from django.urls import reverse

from repairs.people.models import Client
from repairs.storage.space import is_of_full_disk
from tests.screens.filling import Forms, form_of, send

Usage = namedtuple("Usage", "total used free")
NO_SPACE = OSError(errno.ENOSPC, "No space left on device")


def raising(fault: Exception):
    def act(*words, **more):
        raise fault

    return act


@pytest.fixture
def adding(helene):
    browser = Browser(enforce_csrf_checks=True, raise_request_exception=False)
    browser.force_login(helene)
    return browser, form_of(browser, reverse("people:client_add"))


@pytest.mark.parametrize(
    "fault",
    [
        NO_SPACE,
        OSError(errno.EDQUOT, "Disk quota exceeded"),
        OperationalError("database or disk is full"),
        OperationalError('could not extend file "base/1/2": No space left on device'),
    ],
)
def test_a_full_disk_is_said_and_the_form_may_be_sent_again(adding, monkeypatch, fault):
    browser, form = adding
    with monkeypatch.context() as patch:
        patch.setattr("repairs.people.views.actions.enter_client", raising(fault))
        answer = send(browser, form, name="Basile Ferrand")

    assert answer.status_code == 507
    assert "There is no room left on the server’s disk" in answer.text
    (again,) = [one for one in Forms(answer.text, form.action).found if "name" in one.fields]
    assert send(browser, again).status_code == 302
    assert Client.objects.get().name == "Basile Ferrand"


def test_also_where_no_view_was_reached(adding, monkeypatch):
    browser, form = adding
    monkeypatch.setattr("repairs.screens.once.claim", raising(OperationalError("disk is full")))

    answer = send(browser, form, name="Basile Ferrand")

    assert answer.status_code == 507
    assert "Basile Ferrand" in answer.text


def test_a_script_is_told_in_its_own_way(client, armand, case, monkeypatch):
    client.force_login(armand)
    client.raise_request_exception = False
    monkeypatch.setattr("repairs.photos.views.actions.begin_upload", raising(NO_SPACE))
    sent = json.dumps({"name": "IMG_2.jpg", "size": 10, "phase": "arrival"})
    place = reverse("photos:begin", args=[case.number])

    answer = client.post(place, sent, "application/json", headers={"accept": "application/json"})

    assert answer.status_code == 507
    assert "The disk of the casebook is full" in answer.json()["error"]


def test_another_fault_is_none_of_a_full_disk(adding, monkeypatch):
    browser, form = adding
    monkeypatch.setattr("repairs.people.views.actions.enter_client", raising(OSError(5, "rot")))

    assert send(browser, form, name="Basile Ferrand").status_code == 500


def test_a_full_disk_behind_another_fault_is_found():
    try:
        try:
            raise NO_SPACE
        except OSError as first:
            raise RuntimeError("the paper was not printed") from first
    except RuntimeError as fault:
        assert is_of_full_disk(fault)
    assert not is_of_full_disk(RuntimeError("disk is full"))  # somebody's words, no fault of a disk
    assert not is_of_full_disk(None)


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "Only 1000 MB are left on the server’s disk."),
        ("fr", "Il ne reste que 1000\u00a0Mo sur le disque du serveur."),
    ],
)
def test_the_bench_says_when_little_is_left(client, helene, case, monkeypatch, language, words):
    helene.language = language
    helene.save()
    client.force_login(helene)
    free = Usage(10**12, 0, 1000 * 1024**2 + 5)
    monkeypatch.setattr("repairs.storage.space.shutil.disk_usage", lambda _folder: free)

    assert words in client.get(reverse("bench:home")).text


def test_the_bench_says_nothing_while_there_is_room(client, helene, case, monkeypatch):
    client.force_login(helene)
    free = Usage(10**12, 0, 10**11)
    monkeypatch.setattr("repairs.storage.space.shutil.disk_usage", lambda _folder: free)

    assert "server’s disk" not in client.get(reverse("bench:home")).text
