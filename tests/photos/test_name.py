"""Views are named in bulk: a tap a photo, or all in the order of the kind's list."""

from __future__ import annotations

import html

import pytest
from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.photos.naming import naming
from tests import factories


@pytest.fixture
def three(case, armand):
    pictures = [factories.jpeg(seed=seed) for seed in (1, 2, 3)]
    return [factories.photo(case, by=armand, data=data, view="") for data in pictures]


@pytest.fixture
def name(client, armand, case):
    client.force_login(armand)
    address = reverse("photos:name", args=[case.number])
    return lambda **sent: client.post(address, sent)


def views(case) -> list[str]:
    return list(case.photos.order_by("number").values_list("view", flat=True))


def test_a_tap_names_a_photo_and_asks_for_the_next(client, case, three, name):
    answer = name(view_1="back")

    assert views(case) == ["back", "", ""]
    assert answer["Location"].endswith("/photos/add/?after=1&named=1#naming")
    page = html.unescape(client.get(answer["Location"].partition("#")[0]).text)
    assert 'name="view_2" value="front"' in page
    assert "1 · Back" in page
    assert LogEntry.objects.filter(verb="photo.described").count() == 1


def test_the_order_of_the_kind_s_list_is_proposed(case, three):
    found = naming(case)

    assert found
    assert [(photo.number, view.slug) for photo, view in found.proposed] == [
        (1, "front"),
        (2, "back"),
        (3, "left_side"),
    ]


def test_what_is_taken_is_not_proposed_again(case, three, name):
    name(view_2="front")

    found = naming(case)

    assert found
    assert [view.slug for _photo, view in found.proposed] == ["back", "left_side"]
    assert next(offer for offer in found.offers if offer.view.slug == "front").is_taken


def test_all_are_named_in_one_go(case, three, name):
    name(view_1="front", view_2="back", view_3="wheel")

    assert views(case) == ["front", "back", "wheel"]


def test_the_last_name_is_taken_back(case, three, name):
    name(view_1="back")

    answer = name(undo="1")

    assert views(case) == ["", "", ""]
    assert answer["Location"].endswith("?after=0#naming")


@pytest.mark.parametrize(
    "sent",
    [
        {},
        {"view_1": "moon"},
        {"view_9": "front"},
        {"view_1": "front", "view_9": "back"},
        {"undo": "77"},
    ],
)
def test_what_cannot_be_named_changes_nothing(client, case, three, name, sent):
    answer = name(**sent)

    assert views(case) == ["", "", ""]
    page = client.get(answer["Location"].partition("#")[0]).text
    assert "This photo has its view by now, or is not here any more." in page


def test_a_detail_is_passed_over(client, case, three, name):
    page = client.get(reverse("photos:add", args=[case.number]), {"after": "1"}).text

    assert 'name="view_2"' in page
    assert 'name="view_1"' not in page


def test_later_photos_are_asked_about_only_on_demand(client, case, three, name, monkeypatch):
    monkeypatch.setattr("repairs.photos.views.views_taken", lambda _case: EVERY)
    address = reverse("photos:add", args=[case.number])

    page = html.unescape(client.get(address).text)

    assert 'name="view_1"' not in page
    assert "Name the views of 3 photos" in page
    assert 'name="view_1"' in client.get(address, {"after": "0"}).text


class _Every:
    def __contains__(self, _slug: object) -> bool:
        return True


EVERY = _Every()
