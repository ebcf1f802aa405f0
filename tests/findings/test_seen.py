"""A finding noted where the photo is tapped, and what is added to it there."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.findings import actions
from repairs.findings.laid_models import LaidMap
from repairs.findings.look_models import PartLook
from repairs.findings.models import Finding
from repairs.people.models import User
from repairs.photos import actions as photo_actions
from repairs.photos.models import Photo, Tag
from tests import factories

pytestmark = pytest.mark.django_db

PLACE = {"shape": "point", "points": [[0.4, 0.6]]}


@pytest.fixture
def browser(client: Browser, lise: User) -> Browser:
    client.force_login(lise)
    return client


def address(name: str, photo: Photo, *more: Any) -> str:
    return reverse(f"findings:{name}", args=[photo.case.number, photo.number, *more])


def post(browser: Browser, url: str, **body: Any) -> Any:
    return browser.generic("POST", url, json.dumps(body).encode(), "application/json")


def said(photo: Photo, **more: Any) -> dict[str, Any]:
    row = photo.case.instrument.parts.get(key="soundboard")
    return {"part": row.pk, "term": "crack", "severity": "3", **PLACE} | more


def note(browser: Browser, photo: Photo, **more: Any) -> Any:
    return post(browser, address("note_seen", photo), **said(photo, **more))


def test_a_finding_is_born_with_its_place_and_its_number(browser, photo: Photo, lise: User):
    answer = note(browser, photo)

    kept = Finding.objects.get()
    assert answer.status_code == 201
    told = answer.json()
    assert (told["finding"]["number"], told["tag"]["number"]) == (1, 1)
    assert (kept.part.key, kept.term, kept.severity, kept.changed_by) == (
        "soundboard",
        "crack",
        3,
        lise,
    )
    tag = kept.tag_links.get().tag
    assert (tag.shape, tag.points, tag.photo) == ("point", [[0.4, 0.6]], photo)
    assert PartLook.objects.get().state == "looked"
    verbs = list(LogEntry.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs[-3:] == ["finding.noted", "tag.drawn", "tag.bound"]


@pytest.mark.parametrize(("severity", "urgency"), [("1", 4), ("2", 3), ("3", 2), ("4", 1)])
def test_how_soon_to_act_follows_the_severity_until_somebody_says(
    browser, photo, severity, urgency
):
    assert note(browser, photo, severity=severity).json()["finding"]["urgency"] == urgency
    assert Finding.objects.get().stability == "unknown"


def test_a_finding_may_have_no_place(browser, photo: Photo):
    answer = note(browser, photo, points=None)

    assert answer.json()["tag"] is None
    assert not Tag.objects.exists()


def test_a_line_that_was_drawn_before_is_its_place(browser, photo: Photo, lise: User):
    line = factories.tag(photo, None, by=lise)
    body = said(photo)
    del body["points"]

    answer = post(browser, address("note_seen", photo), **body | {"tag": line.pk})

    assert answer.json()["tag"]["id"] == line.pk
    assert answer.json()["tag"]["number"] == 1
    assert Tag.objects.count() == 1


def test_what_a_phone_sends_twice_is_kept_once(browser, photo: Photo):
    first, again = note(browser, photo), note(browser, photo)

    assert again.json() == first.json()
    assert Finding.objects.count() == Tag.objects.count() == 1
    assert note(browser, photo, severity="4").json()["finding"]["number"] == 2


REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "no part": ({"part": ""}, "Part: This field is required."),
    "another's part": ({"part": 10**9}, "Part: Select a valid choice."),
    "a list for a part": ({"part": [1]}, "Part: This field is required."),
    "no damage": ({"term": ""}, "What is seen: This field is required."),
    "no such damage": ({"term": "ghost"}, "What is seen: Select a valid choice."),
    "no severity": ({"severity": None}, "Severity: This field is required."),
    "severity of five": ({"severity": "5"}, "Severity: Select a valid choice."),
    "beside the photo": (
        {"points": [[1.4, 0.6]]},
        "The tag must lie on the photo. Draw it again.",
    ),
    "no such tag": ({"tag": 10**9}, "That tag is no longer on the photo. Tap the place again."),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_cannot_be_is_refused_with_a_sentence(browser, photo: Photo, what):
    more, sentence = REFUSED[what]

    answer = note(browser, photo, **more)

    assert answer.status_code == 400
    assert answer.json()["error"].startswith(sentence)
    assert not Finding.objects.exists() and not Tag.objects.exists()


def test_a_crash_on_the_way_leaves_neither_finding_nor_tag(browser, photo, monkeypatch):
    def fails(*args: object, **kwargs: object) -> None:
        raise OSError("the power went")

    monkeypatch.setattr(photo_actions, "draw_tag", fails)

    with pytest.raises(OSError, match="the power went"):
        note(browser, photo)
    assert not Finding.objects.exists()


@pytest.mark.parametrize(("who", "status"), [("tom", 403), ("odile", 403), ("helene", 201)])
def test_who_may_note(client: Browser, photo: Photo, request, who, status):
    client.force_login(request.getfixturevalue(who))

    assert note(client, photo).status_code == status


def test_a_photo_that_was_withdrawn_takes_no_finding(browser, photo: Photo, armand: User):
    photo_actions.set_withdrawn(photo, True, by=armand, at=timezone.now())

    assert note(browser, photo).status_code == 404


def test_without_script_the_form_notes_it_and_says_so(browser, photo: Photo):
    body = {key: value for key, value in said(photo).items() if key not in PLACE}

    answer = browser.post(address("note_seen", photo), body, follow=True)

    page = answer.content.decode()
    assert answer.redirect_chain[-1][0] == photo.get_absolute_url()
    assert "Finding 1 is noted." in page
    assert Finding.objects.get().term == "crack"


def test_without_script_a_gap_is_told_and_what_was_chosen_stays(browser, photo: Photo):
    part = photo.case.instrument.parts.get(key="wheel")

    answer = browser.post(address("note_seen", photo), {"part": part.pk, "severity": "2"})

    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Nothing was saved yet. Please mend:" in page
    assert f'value="{part.pk}" selected' in page


# What more is said --------------------------------------------------------------------------------


def test_more_is_added_to_what_was_kept(browser, photo: Photo):
    kept = note(browser, photo).json()["finding"]
    url = address("more_of", photo, kept["number"])

    first = post(browser, url, seen=kept["revision"], stability="active")
    second = post(browser, url, seen=1, extent_value="83,5", extent_unit="mm")
    third = post(browser, url, seen=2, note="Glue has run in. لا", urgency="1")

    assert [one.status_code for one in (first, second, third)] == [200] * 3
    row = Finding.objects.get()
    assert (row.stability, str(row.extent_value), row.extent_unit) == ("active", "83.50", "mm")
    assert (row.note, row.urgency, row.revision) == ("Glue has run in. لا", 1, 3)
    assert (row.term, row.severity) == ("crack", 3)


def test_another_who_was_faster_is_named(browser, photo: Photo, armand: User):
    kept = note(browser, photo).json()["finding"]
    row = Finding.objects.get()
    row.note = "Armand's"
    actions.change_finding(row, seen=0, by=armand, at=timezone.now())

    answer = post(browser, address("more_of", photo, 1), seen=kept["revision"], note="mine")

    assert answer.status_code == 409
    assert answer.json()["error"].startswith("Armand Sautarel saved this at")
    assert Finding.objects.get().note == "Armand's"


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"extent_value": "83"}, "Unit: Give the unit of the extent."),
        ({"extent_value": "wide", "extent_unit": "mm"}, "Extent: “wide” is not a number."),
        ({"stability": "perhaps"}, "Stability: Select a valid choice."),
        ({"note": "x" * 3001}, "Note: Ensure this value has at most 3000 characters"),
    ],
)
def test_more_that_cannot_be_is_refused(browser, photo: Photo, more, sentence):
    note(browser, photo)

    answer = post(browser, address("more_of", photo, 1), seen=0, **more)

    assert answer.status_code == 400
    assert answer.json()["error"].startswith(sentence)
    assert Finding.objects.get().revision == 0


@pytest.mark.parametrize("seen", [None, "0", 7, [0]])
def test_more_that_does_not_say_what_it_saw_changes_nothing(browser, photo: Photo, seen):
    note(browser, photo)

    assert post(browser, address("more_of", photo, 1), seen=seen, note="x").status_code == 409
    assert Finding.objects.get().note == ""


# Undo ---------------------------------------------------------------------------------------------


def test_undo_withdraws_the_finding_and_its_place_and_gives_its_number_to_none(browser, photo):
    note(browser, photo)

    answer = post(browser, address("take_back", photo, 1))
    again = post(browser, address("take_back", photo, 1))

    assert answer.json() == again.json() == {"number": 1, "next": 2}
    assert Finding.objects.get().withdrawn_at is not None
    assert Tag.objects.get().withdrawn_at is not None
    assert note(browser, photo).json()["finding"]["number"] == 2


def test_undo_leaves_places_on_other_photos(browser, photo: Photo, armand: User):
    note(browser, photo)
    second = factories.photo(photo.case, by=armand, data=factories.jpeg(seed=4))
    factories.tag(second, Finding.objects.get(), by=armand)

    post(browser, address("take_back", photo, 1))

    assert Tag.objects.get(photo=second).withdrawn_at is None


# The map ------------------------------------------------------------------------------------------


def anchors(browser: Browser, photo: Photo) -> dict[str, list[float]]:
    """Four anchors of the front, as a photo of 400 × 300 would show them head up."""
    places = {"head": (184.7, 9.2), "tail": (184.7, 862.8)}
    places |= {"lower_right": (353.4, 742.6), "lower_left": (16.0, 742.6)}
    return {name: [(100 + 0.3 * x) / 400, 0.3 * y / 300] for name, (x, y) in places.items()}


def test_a_photo_of_a_view_with_a_map_shows_it_with_the_parts_named(browser, photo: Photo):
    page = browser.get(photo.get_absolute_url()).content.decode()

    assert 'data-map="front"' in page
    assert 'id="map-tailpiece"' in page
    assert "<title>tailpiece</title>" in page
    assert '"usual": ["crack", "open_joint"' in page


def test_a_map_is_laid_by_four_taps_and_taken_off_again(browser, photo: Photo):
    url = address("lay_map", photo)

    laid = post(browser, url, map="front", taps=anchors(browser, photo)).json()["laid"]

    a, b, c, d, e, f = laid["to_map"]
    x, y = (100 + 0.3 * 184) / 400, 0.3 * 500 / 300
    assert (a * x + c * y + e, b * x + d * y + f) == pytest.approx((184, 500), abs=0.5)
    assert LaidMap.objects.get().laid_by.username == "lise"
    assert '"to_map": [' in browser.get(photo.get_absolute_url()).content.decode()

    assert post(browser, url, taps={}).json() == {"laid": None}
    assert not LaidMap.objects.exists()
    verbs = list(LogEntry.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs[-2:] == ["map.laid", "map.lifted"]


def test_taps_that_do_not_fit_the_map_are_refused_in_millimetres(browser, photo: Photo):
    taps = anchors(browser, photo) | {"head": [0.95, 0.3]}

    answer = post(browser, address("lay_map", photo), map="front", taps=taps)

    assert answer.status_code == 409
    assert "they miss the drawing by about" in answer.json()["error"]
    assert not LaidMap.objects.exists()


@pytest.mark.parametrize(
    "body",
    [
        {"map": "ghost", "taps": {"head": [0.1, 0.1]}},
        {"map": "front", "taps": {"head": [0.1, 0.1]}},
        {"map": "front", "taps": {"head": [2, 0.1]}},
        {"map": "front", "taps": [1, 2, 3, 4]},
        {"map": "front", "taps": {str(n): [0.1, 0.1] for n in range(30)}},
    ],
    ids=["no such map", "one tap", "beside the photo", "a list", "thirty"],
)
def test_a_laying_that_says_nothing_is_refused(browser, photo: Photo, body):
    answer = post(browser, address("lay_map", photo), **body)

    assert answer.status_code in (400, 409)
    assert len(answer.json()["error"]) > 20
    assert not LaidMap.objects.exists()


def test_another_map_of_the_kind_is_fetched_and_no_other(browser, photo: Photo):
    case = photo.case.number

    back = browser.get(reverse("findings:part_map", args=[case, "back"]))
    ghost = browser.get(reverse("findings:part_map", args=[case, "ghost"]))

    assert 'data-map="back"' in back.json()["svg"]
    assert ghost.status_code == 404


def test_a_kind_without_maps_offers_the_list(browser, owner, armand: User):
    plain = factories.instrument(owner, by=armand, kind="nyckelharpa")
    shot = factories.photo(factories.case(plain, by=armand), by=armand)

    page = browser.get(shot.get_absolute_url()).content.decode()

    assert "data-drawing" not in page
    assert 'name="part"' in page


def test_who_only_reads_sees_the_photo_and_no_form(client: Browser, photo: Photo, tom: User):
    client.force_login(tom)

    page = client.get(photo.get_absolute_url()).content.decode()

    assert "data-look" not in page and "data-map" not in page
    assert '"readonly": true' in page
