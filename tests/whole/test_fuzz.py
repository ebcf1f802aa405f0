"""What nobody would send, sent as every role to a house with one of everything: no 500.

A share of it; the whole, 20,000 posts to the demo, is sent by ``manage.py measure faults``.
"""

from __future__ import annotations

import json
from random import Random

import pytest
from django.core.cache import cache
from django.test import Client as Browser
from django.urls import reverse

from repairs.measures import nasty
from repairs.measures.fuzz import Tried, one, walked, watched
from tests.whole.addresses import JSON_ROUTES, ROLES
from tests.whole.asking import address, person_of

REQUESTS = 50


@pytest.mark.share(6)
@pytest.mark.parametrize("role", ROLES)
def test_no_form_and_no_address_breaks_whatever_is_sent(world, armand, role):
    cache.clear()
    person = person_of(role)
    world(person or armand)
    browser = Browser(raise_request_exception=False)
    if person is not None:
        browser.force_login(person)
    walk, tried = walked(role, browser, of_a_kind=1), Tried()

    with watched(tried):
        for seed in range(REQUESTS):
            one(walk, Random(f"{role} {seed}"), tried)  # noqa: S311 - a draw, no secret

    assert walk.pages
    assert tried.gets + tried.posts == REQUESTS
    assert list(tried.broken.values()) == []


@pytest.mark.parametrize("name", sorted(JSON_ROUTES))
def test_bodies_that_are_no_sense_are_refused(world, armand, name):
    place = address(name, world(armand))
    browser = Browser(raise_request_exception=False)
    browser.force_login(armand)
    said = [
        json.dumps(
            {
                "shape": "point",
                "points": [[word, 0]],
                "taps": {word: word},
                "seen": word,
                "name": word,
                "size": word,
                "note": word,
                "phase": word,
            }
        )
        for word in nasty.EVERY
    ]

    answers = [
        browser.generic("POST", place, body, content_type=kind).status_code
        for kind, body in [*nasty.BODIES, *(("application/json", one) for one in said)]
    ]

    assert max(answers) < 500


@pytest.mark.parametrize("words", ["x" * 70_000, "x " * 35_000, "\x00", "9999-12-31", "%_" * 900])
@pytest.mark.parametrize(
    "name", ["bench:search", "instruments:list", "people:clients", "wood:list", "cases:choose"]
)
def test_a_search_for_a_whole_book_finds_nothing_and_breaks_nothing(client, helene, name, words):
    client.force_login(helene)

    assert client.get(reverse(name), {"q": words}).status_code == 200
