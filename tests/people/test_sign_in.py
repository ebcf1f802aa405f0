"""Coming in, going out, and the language that someone reads in."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.urls import reverse

from repairs.people.models import User

PASSWORD = "un-mot-long-1771"


@pytest.fixture
def sign_in(client):
    def send(**fields: str):
        return client.post(reverse("people:sign_in"), fields)

    return send


def test_the_right_password_leads_to_the_bench(client, armand, sign_in):
    answer = sign_in(username="armand", password=PASSWORD)

    assert answer.status_code == 302
    assert answer["Location"] == reverse("bench:home")
    assert client.get(reverse("bench:home")).status_code == 200


def test_after_signing_in_the_page_that_was_wanted_is_shown(armand, client):
    wanted = reverse("instruments:list") + "?q=vielle"
    asked = client.get(wanted)

    answer = client.post(asked["Location"], {"username": "armand", "password": PASSWORD})

    assert asked.status_code == 302
    assert answer["Location"] == wanted


def test_nobody_is_led_to_another_site_after_signing_in(armand, sign_in):
    answer = sign_in(username="armand", password=PASSWORD, next="https://elsewhere.example/")

    assert answer["Location"] == reverse("bench:home")


@pytest.mark.parametrize(
    ("username", "password"),
    [("armand", "wrong"), ("armand", ""), ("nobody", PASSWORD), ("armand", PASSWORD.upper())],
)
def test_a_wrong_password_or_name_is_refused_with_a_sentence(
    client, armand, sign_in, username, password
):
    answer = sign_in(username=username, password=password)

    assert answer.status_code == 200
    assert 'class="problems"' in answer.text
    assert client.get(reverse("bench:home")).status_code == 302


def test_someone_who_left_cannot_sign_in(client, armand, sign_in):
    User.objects.filter(pk=armand.pk).update(is_active=False)

    answer = sign_in(username="armand", password=PASSWORD)

    assert answer.status_code == 200
    assert client.get(reverse("bench:home")).status_code == 302


def test_someone_who_left_is_signed_out_at_once(client, armand):
    client.force_login(armand)
    User.objects.filter(pk=armand.pk).update(is_active=False)

    assert client.get(reverse("bench:home")).status_code == 302


def test_signing_out_ends_the_visit(client, armand):
    client.force_login(armand)

    answer = client.post(reverse("people:sign_out"))

    assert answer["Location"] == reverse("people:sign_in")
    assert client.get(reverse("bench:home")).status_code == 302


def test_following_a_link_signs_nobody_out(client, armand):
    client.force_login(armand)

    assert client.get(reverse("people:sign_out")).status_code == 405
    assert client.get(reverse("bench:home")).status_code == 200


def test_a_visitor_keeps_the_chosen_language_in_a_cookie(client, db):
    answer = client.post(reverse("people:language"), {"language": "en", "next": "/sign-in/"})

    assert answer["Location"] == "/sign-in/"
    assert client.cookies[settings.LANGUAGE_COOKIE_NAME].value == "en"
    assert '<html lang="en">' in client.get("/sign-in/").text


@pytest.mark.parametrize("language", ["fr", "en"])
def test_a_person_reads_in_the_language_of_their_profile(client, armand, language):
    client.force_login(armand)

    client.post(reverse("people:language"), {"language": language})

    armand.refresh_from_db()
    assert armand.language == language
    assert f'<html lang="{language}">' in client.get(reverse("bench:home")).text


def test_the_language_of_the_profile_is_stronger_than_that_of_the_browser(client, armand):
    client.force_login(armand)

    page = client.get(reverse("bench:home"), headers={"accept-language": "fr"})

    assert '<html lang="en">' in page.text


def test_a_language_that_is_not_spoken_here_becomes_the_one_of_the_house(client, armand):
    client.force_login(armand)

    client.post(reverse("people:language"), {"language": "tlh"})

    armand.refresh_from_db()
    assert armand.language == settings.LANGUAGE_CODE


def test_choosing_a_language_leads_to_no_other_site(client, db):
    answer = client.post(
        reverse("people:language"), {"language": "fr", "next": "//elsewhere.example/"}
    )

    assert answer["Location"] == reverse("bench:home")


@pytest.mark.parametrize(
    "odd",
    [
        "bench",
        "home",
        "é",
        "x y",
        "-",
        ".",
        "#",
        "?next=1",
        "\\elsewhere",
        "people:client",
        "javascript:alert(1)",
        "http://[",
        "//[::1",
        "http://[bad/",
        "http://",
        "http:///x",
        "///x",
        "/x" * 9000,
        "\x00",
    ],
)
def test_a_place_that_is_no_address_of_the_house_leads_to_the_bench(client, db, odd):
    answer = client.post(reverse("people:language"), {"language": "en", "next": odd})

    assert (answer.status_code, answer["Location"]) == (302, reverse("bench:home"))


@pytest.mark.parametrize("place", ["/sign-in/?next=/é", "/cases/%00/", "/%", "/x y", "/\r\nX: y"])
def test_an_odd_address_of_the_house_is_gone_to_as_it_is(client, db, place):
    answer = client.post(reverse("people:language"), {"language": "en", "next": place})

    assert answer.status_code == 302
    assert answer["Location"].startswith("/")
    assert "\n" not in answer["Location"]
