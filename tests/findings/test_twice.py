"""What the drawing page and the phone send twice, or eight times at once, is kept once."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client as Browser
from django.urls import reverse

from repairs.findings.models import Finding, FindingTag
from repairs.photos.models import Tag
from repairs.photos.upload_models import Upload
from tests import factories
from tests.beside import shared_database
from tests.screens.at_once import hands

pytestmark = pytest.mark.django_db(transaction=True)

EIGHT = 8
AtOnce = Callable[[str, dict[str, Any]], list[Any]]


@pytest.fixture
def eight(photo, finding, lise, tmp_path) -> Iterator[AtOnce]:
    """What posts the same JSON eight times at once, as one person."""

    def post(place: str, body: dict[str, Any]) -> Any:
        browser = Browser(raise_request_exception=False)
        browser.cookies = cookies
        return browser.post(place, json.dumps(body), "application/json")

    with shared_database(tmp_path):
        first = Browser()
        first.force_login(lise)
        cookies = first.cookies
        with hands(EIGHT) as pool:
            yield lambda place, body: list(pool.map(lambda _hand: post(place, body), range(EIGHT)))


def test_a_mark_drawn_eight_times_at_once_is_one(eight: AtOnce, photo, finding):
    place = reverse("findings:tag_create", args=[photo.case.number, photo.number])
    body = {"shape": "point", "points": [[0.5, 0.5]], "finding": finding.pk, "tap": f"{uuid4()}"}

    answers = eight(place, body)

    assert [answer.status_code for answer in answers] == [201] * EIGHT
    tag = Tag.objects.get(photo=photo)
    assert {answer.json()["tag"]["id"] for answer in answers} == {tag.pk}
    assert FindingTag.objects.get(tag=tag).finding == finding


def test_a_finding_without_a_place_sent_eight_times_is_one(eight: AtOnce, photo, finding):
    place = reverse("findings:note_seen", args=[photo.case.number, photo.number])
    body = {"part": finding.part_id, "term": finding.term, "severity": "2", "tap": f"{uuid4()}"}

    answers = eight(place, body)

    assert [answer.status_code for answer in answers] == [201] * EIGHT
    assert Finding.objects.exclude(pk=finding.pk).count() == 1


def test_what_is_added_eight_times_is_added_once_and_nobody_is_told_no(
    eight: AtOnce, photo, finding
):
    place = reverse("findings:more_of", args=[photo.case.number, photo.number, finding.number])

    answers = eight(place, {"seen": finding.revision, "note": "It goes on."})

    assert [
        (answer.status_code, answer.text) for answer in answers if answer.status_code != 200
    ] == []
    known = finding.revision
    finding.refresh_from_db()
    assert (finding.note, finding.revision) == ("It goes on.", known + 1)


def test_a_photo_announced_eight_times_is_one_upload(eight: AtOnce, photo):
    place = reverse("photos:begin", args=[photo.case.number])
    body = {"name": "IMG_9.jpg", "size": 9, "modified": "1", "phase": "arrival"}

    answers = eight(place, body)

    assert [answer.status_code for answer in answers] == [200] * EIGHT
    assert Upload.objects.filter(name="IMG_9.jpg").count() == 1


def test_a_map_laid_eight_times_lies_once(eight: AtOnce, photo):
    place = reverse("findings:lay_map", args=[photo.case.number, photo.number])

    answers = eight(place, {"taps": {}})

    assert [answer.status_code for answer in answers] == [200] * EIGHT


@pytest.mark.parametrize("tap", ["x", "7d3f3a5e", ""])
def test_a_name_that_is_none_is_refused_and_nothing_is_drawn(client, photo, lise, tap):
    client.force_login(lise)
    place = reverse("findings:tag_create", args=[photo.case.number, photo.number])
    body = {"shape": "point", "points": [[0.5, 0.5]], "tap": tap}

    answer = client.post(place, json.dumps(body), "application/json")

    assert answer.status_code == 400
    assert not Tag.objects.exists()


def test_two_marks_at_one_place_under_names_of_their_own_are_two(client, photo, lise):
    client.force_login(lise)
    place = reverse("findings:tag_create", args=[photo.case.number, photo.number])
    for _time in range(2):
        body = {"shape": "point", "points": [[0.5, 0.5]], "tap": f"{uuid4()}"}
        client.post(place, json.dumps(body), "application/json")

    assert Tag.objects.count() == 2


def test_a_mark_of_another_photo_is_not_taken_for_this_one(client, photo, lise, armand):
    other = factories.photo(photo.case, by=armand, data=factories.jpeg(seed=5))
    client.force_login(lise)
    name = f"{uuid4()}"
    body = {"shape": "point", "points": [[0.5, 0.5]], "tap": name}
    first, second = (
        client.post(
            reverse("findings:tag_create", args=[one.case.number, one.number]),
            json.dumps(body),
            "application/json",
        )
        for one in (photo, other)
    )

    assert (first.status_code, second.status_code) == (201, 201)
    assert first.json()["tag"]["id"] != second.json()["tag"]["id"]
