"""The JSON addresses that the drawing page talks to."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.findings import actions
from repairs.findings.models import Finding, FindingTag
from repairs.people.models import User
from repairs.photos import actions as photo_actions
from repairs.photos.models import Photo, Tag
from tests import factories

pytestmark = pytest.mark.django_db

OUTSIDE = "The tag must lie on the photo. Draw it again."
CUT = "The request was cut off. Try again."
GONE = "That finding is no longer in this case. Choose another."
LINE = [[0.2, 0.3], [0.4, 0.6]]


@pytest.fixture
def browser(client: Browser, lise: User) -> Browser:
    client.force_login(lise)
    return client


def post(browser: Browser, deed: str, photo: Photo, body: Any, *more: int) -> Any:
    address = reverse(f"findings:tag_{deed}", args=[photo.case.number, photo.number, *more])
    data = body if isinstance(body, bytes) else json.dumps(body).encode()
    return browser.generic("POST", address, data, "application/json")


SHAPES: dict[str, list[list[float]]] = {
    "point": [[0.5, 0.25]],
    "line": [[0, 0], [0.5, 0.5], [1, 1]],
    "polygon": [[0.1, 0.1], [0.9, 0.1], [0.9, 0.9]],
}


@pytest.mark.parametrize("shape", SHAPES)
def test_a_tag_of_each_shape_is_drawn_as_a_draft(browser: Browser, photo: Photo, shape):
    answer = post(browser, "create", photo, {"shape": shape, "points": SHAPES[shape]})

    tag = Tag.objects.get()
    assert answer.status_code == 201
    assert answer.json() == {
        "tag": {
            "id": tag.pk,
            "shape": shape,
            "points": [[float(x), float(y)] for x, y in SHAPES[shape]],
            "finding": None,
            "number": None,
        }
    }
    assert tag.points == SHAPES[shape]
    assert tag.drawn_by.username == "lise"


def test_places_are_kept_to_a_hundredth_of_a_per_cent(browser: Browser, photo: Photo):
    post(browser, "create", photo, {"shape": "point", "points": [[1 / 3, 2 / 3]]})

    assert Tag.objects.get().points == [[0.3333, 0.6667]]


NOT_ON_THE_PHOTO: dict[str, Any] = {
    "left of it": {"shape": "line", "points": [[-0.01, 0.5], [0.5, 0.5]]},
    "below it": {"shape": "point", "points": [[0.5, 1.0001]]},
    "far away": {"shape": "point", "points": [[1e300, 0.5]]},
    "words": {"shape": "point", "points": [["0.5", "0.5"]]},
    "truths": {"shape": "point", "points": [[True, False]]},
    "nothing": {"shape": "point", "points": [[None, 0.5]]},
    "one coordinate": {"shape": "point", "points": [[0.5]]},
    "three coordinates": {"shape": "point", "points": [[0.5, 0.5, 0.5]]},
    "no point": {"shape": "point", "points": []},
    "two for a point": {"shape": "point", "points": LINE},
    "one for a line": {"shape": "line", "points": LINE[:1]},
    "two for an area": {"shape": "polygon", "points": LINE},
    "too many": {"shape": "polygon", "points": [[0.5, 0.5]] * 201},
    "no list": {"shape": "point", "points": {"x": 0.5, "y": 0.5}},
    "no points": {"shape": "point"},
    "unknown shape": {"shape": "circle", "points": LINE},
    "no shape": {"points": LINE},
    "shape of a list": {"shape": ["line"], "points": LINE},
    "not a number": b'{"shape": "point", "points": [[NaN, 0.5]]}',
    "infinite": b'{"shape": "point", "points": [[Infinity, 0.5]]}',
    "a huge number": b'{"shape": "point", "points": [[1' + b"0" * 400 + b", 0.5]]}",
}


@pytest.mark.parametrize("what", NOT_ON_THE_PHOTO)
def test_what_does_not_lie_on_the_photo_is_refused(browser: Browser, photo: Photo, what):
    answer = post(browser, "create", photo, NOT_ON_THE_PHOTO[what])

    assert (answer.status_code, answer.json()) == (400, {"error": OUTSIDE})
    assert not Tag.objects.exists()


@pytest.mark.parametrize(
    "body", [b"{", b"[]", b"null", b'"line"', b"\xff", b"[" * 90000], ids=range(6)
)
def test_a_body_that_cannot_be_read_is_refused(browser: Browser, photo: Photo, body: bytes):
    tag = factories.tag(photo, None, by=photo.sent_by)

    answers = [post(browser, "create", photo, body), post(browser, "change", photo, body, tag.pk)]

    for answer in answers:
        assert (answer.status_code, answer.json()) == (400, {"error": CUT})
    assert Tag.objects.get().points == tag.points


@pytest.mark.parametrize("wanted", ["other", "withdrawn", 0, -1, 10**30, "1", True, [1], 1.0])
def test_a_finding_that_is_not_in_this_case_is_refused(
    browser: Browser, photo: Photo, finding: Finding, vielle, armand: User, wanted
):
    other = factories.finding(factories.case(vielle, by=armand), by=armand)
    gone = factories.finding(photo.case, by=armand)
    actions.set_withdrawn(gone, True, by=armand, at=timezone.now())
    tag = factories.tag(photo, finding, by=armand)
    chosen = {"other": other.pk, "withdrawn": gone.pk}.get(wanted if wanted != [1] else "", wanted)
    moved = [[0.9, 0.9], [0.8, 0.8]]

    created = post(browser, "create", photo, {"shape": "line", "points": LINE, "finding": chosen})
    changed = post(browser, "change", photo, {"points": moved, "finding": chosen}, tag.pk)

    for answer in (created, changed):
        assert (answer.status_code, answer.json()) == (400, {"error": GONE})
    assert Tag.objects.get().points == tag.points
    assert FindingTag.objects.get().finding == finding


def test_a_tag_is_bound_and_unbound(browser: Browser, photo: Photo, finding: Finding, armand):
    second = factories.finding(photo.case, by=armand, part="wheel", term="wood_wear")
    body = {"shape": "line", "points": LINE, "finding": finding.pk}
    tag = post(browser, "create", photo, body).json()["tag"]
    assert (tag["finding"], tag["number"]) == (finding.pk, finding.number)

    other = post(browser, "change", photo, {"finding": second.pk}, tag["id"]).json()["tag"]
    none = post(browser, "change", photo, {"finding": None}, tag["id"]).json()["tag"]

    assert (other["finding"], other["number"]) == (second.pk, second.number)
    assert (none["finding"], none["number"]) == (None, None)
    assert none["points"] == LINE
    assert not FindingTag.objects.exists()


def test_moving_a_tag_leaves_it_bound(browser: Browser, photo: Photo, finding: Finding, armand):
    tag = factories.tag(photo, finding, by=armand)

    answer = post(browser, "change", photo, {"points": [[0, 0], [1, 1]]}, tag.pk).json()["tag"]

    assert answer["points"] == [[0.0, 0.0], [1.0, 1.0]]
    assert answer["number"] == finding.number


def test_a_tag_keeps_its_shape(browser: Browser, photo: Photo, armand: User):
    tag = factories.tag(photo, None, by=armand, shape="polygon", points=SHAPES["polygon"])

    answer = post(browser, "change", photo, {"shape": "line", "points": LINE}, tag.pk)

    assert answer.status_code == 400
    assert Tag.objects.get().points == SHAPES["polygon"]


def test_one_finding_may_have_many_tags(browser: Browser, photo: Photo, finding: Finding):
    for _index in range(3):
        body = {"shape": "line", "points": LINE, "finding": finding.pk}
        assert post(browser, "create", photo, body).status_code == 201

    assert finding.tag_links.count() == 3


def test_a_tag_is_withdrawn_and_put_back(browser: Browser, photo: Photo, finding, armand: User):
    tag = factories.tag(photo, finding, by=armand)

    post(browser, "withdraw", photo, {}, tag.pk)
    assert Tag.objects.get().withdrawn_at is not None
    assert '"tags": []' in browser.get(photo.get_absolute_url()).content.decode()
    answer = post(browser, "restore", photo, {}, tag.pk)

    assert answer.json()["tag"]["number"] == finding.number
    assert Tag.objects.get().withdrawn_at is None


def test_a_tag_whose_finding_was_withdrawn_is_a_draft(browser: Browser, photo, finding, armand):
    tag = factories.tag(photo, finding, by=armand)
    actions.set_withdrawn(finding, True, by=armand, at=timezone.now())

    answer = post(browser, "change", photo, {"points": LINE}, tag.pk).json()["tag"]

    assert (answer["finding"], answer["number"]) == (None, None)


def test_a_tag_of_another_photo_or_case_is_not_there(
    browser: Browser, photo: Photo, case: Case, vielle, armand: User
):
    tag = factories.tag(photo, None, by=armand)
    second = factories.photo(case, by=armand, data=factories.jpeg(seed=4))
    elsewhere = factories.photo(factories.case(vielle, by=armand), by=armand)

    for other in (second, elsewhere):
        for deed in ("change", "withdraw", "restore"):
            assert post(browser, deed, other, {}, tag.pk).status_code == 404
    assert Tag.objects.get().withdrawn_at is None


def test_no_tag_is_drawn_on_a_photo_that_is_not_kept(browser: Browser, photo: Photo, armand):
    broken = factories.photo(photo.case, by=armand, data=b"no picture")
    photo_actions.set_withdrawn(photo, True, by=armand, at=timezone.now())

    for other in (photo, broken):
        body = {"shape": "line", "points": LINE}
        assert post(browser, "create", other, body).status_code == 404


def test_a_crash_while_binding_leaves_no_tag(browser: Browser, photo, finding, monkeypatch):
    def fails(*args: object, **kwargs: object) -> None:
        raise OSError("the power went")

    monkeypatch.setattr(actions, "bind_tag", fails)

    with pytest.raises(OSError, match="the power went"):
        post(browser, "create", photo, {"shape": "line", "points": LINE, "finding": finding.pk})
    assert not Tag.objects.exists()


@pytest.mark.parametrize(("who", "status"), [("tom", 403), ("odile", 403), ("helene", 201)])
def test_who_may_draw(client: Browser, photo: Photo, request, who, status):
    client.force_login(request.getfixturevalue(who))

    assert post(client, "create", photo, {"shape": "line", "points": LINE}).status_code == status
