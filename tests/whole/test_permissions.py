"""Every address stands in one table with the deed it wants, and answers each role accordingly."""

from __future__ import annotations

import uuid

import pytest
from django.core.cache import cache
from django.urls import reverse

from repairs.people.models import User
from tests.whole.addresses import ADDRESSES, OPEN, ROLES, TABLE
from tests.whole.asking import ask, expected, person_of


def test_every_address_stands_in_the_table_and_none_that_is_gone():
    assert set(ADDRESSES) == set(TABLE)


@pytest.mark.parametrize("name", sorted(TABLE))
def test_the_guard_of_the_view_is_the_one_of_the_table(name):
    guard = getattr(ADDRESSES[name].view, "needs_deed", OPEN)

    assert guard == TABLE[name].deed


@pytest.mark.share(2)
@pytest.mark.parametrize("role", ROLES)
def test_each_role_gets_the_answer_that_the_table_says(world, armand, role):
    cache.clear()
    person = person_of(role)
    known = world(person or armand)

    answers = {name: ask(name, known, person).status_code for name in TABLE}

    assert answers == {name: expected(name, role) for name in TABLE}


def test_nobody_is_led_to_the_sign_in_from_every_guarded_address(world, armand):
    known = world(armand)
    guarded = [name for name, route in TABLE.items() if route.deed != OPEN]

    places = {ask(name, known, None).headers["Location"].partition("?")[0] for name in guarded}

    assert places == {reverse("people:sign_in")}


def test_someone_who_left_is_nobody(world, armand):
    known = world(armand)
    User.objects.filter(pk=armand.pk).update(is_active=False)
    guarded = [name for name, route in TABLE.items() if route.deed != OPEN]

    assert {ask(name, known, armand).status_code for name in guarded} == {302}


def test_what_changes_something_is_not_done_by_following_a_link(world, helene):
    known = world(helene)
    changing = [name for name, route in TABLE.items() if route.method == "POST"]

    answers = {name: ask(name, known, helene, "GET").status_code for name in changing}

    assert answers == dict.fromkeys(changing, 405)


def test_nothing_is_changed_by_a_form_of_another_site(world, helene):
    known = world(helene)

    answers = {
        name: ask(name, known, helene, "POST", enforce_csrf_checks=True).status_code
        for name in TABLE
    }

    assert answers == dict.fromkeys(TABLE, 403)


def test_an_address_of_what_is_not_there_answers_that_it_is_not_found(world, helene):
    known = world(helene)
    nothing = {
        key: uuid.uuid4() if isinstance(value, uuid.UUID) else type(value)("777")
        for key, value in known.items()
    }
    asked = [name for name, row in TABLE.items() if row.deed != OPEN and ADDRESSES[name].arguments]

    answers = {name: ask(name, nothing, helene).status_code for name in asked}

    assert answers == dict.fromkeys(asked, 404)


@pytest.mark.parametrize(
    "place",
    [
        "/cases/%00/",
        "/instruments/%00/edit/",
        "/take-in/I-0001%00/",
        "/wood/%00/",
        "/verify/%00/",
    ],
)
def test_an_address_with_a_sign_that_no_name_has_is_not_found(client, helene, place):
    client.force_login(helene)

    assert client.get(place).status_code == 404
