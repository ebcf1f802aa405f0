"""Guessing passwords is slowed down, and nobody is locked out by it."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from repairs.people import guessing
from repairs.screens.tries_models import Tries

PASSWORD = "un-mot-long-1771"
START_S = 1_800_000_000
DAY_S = 24 * 3600


class Clock:
    """The time of the brake, which passes as the test says."""

    now_s = float(START_S)

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def clock(monkeypatch) -> Clock:
    kept = Clock()
    monkeypatch.setattr("repairs.screens.throttle.time.time", kept)
    return kept


def sign_in(browser: Browser, password: str, *, name: str = "armand", at: str = "192.0.2.1") -> Any:
    sent = {"username": name, "password": password}
    return browser.post(reverse("people:sign_in"), sent, REMOTE_ADDR=at)


def known_device(at: str = "192.0.2.1") -> Browser:
    """A browser on which Armand signed in once, and out again."""
    browser = Browser()
    assert sign_in(browser, PASSWORD, at=at).status_code == 302
    browser.post(reverse("people:sign_out"))
    return browser


def a_day_of_guesses(clock: Clock, *, at: str) -> int:
    """As many guesses as are looked at in a day by whoever never gives up; from ever new places."""
    looked_at, number = 0, 0
    until = clock.now_s + DAY_S
    while clock.now_s < until:
        number += 1
        answer = sign_in(Browser(), "guess", at=at.format(number // 5 % 250))
        if answer.status_code == 200:
            looked_at += 1
        else:
            clock.now_s += int(answer["Retry-After"])
    return looked_at


def test_the_waits_grow_and_the_page_says_when_to_try_again(armand, clock):
    answers = [sign_in(Browser(), "guess") for _try in range(13)]

    assert [answer.status_code for answer in answers] == [200] * 11 + [429] * 2
    assert "Try again in 60 seconds." in answers[-1].text
    assert 'value="armand"' in answers[-1].text
    assert Tries.objects.get(what="sign_in.account").n == 11  # one that waits is not counted

    waits, last = [60], answers[-1]
    for number in range(4):
        clock.now_s += waits[-1]
        assert sign_in(Browser(), "guess", at=f"198.51.100.{number}").status_code == 200
        last = sign_in(Browser(), "guess", at=f"198.51.100.{number}")
        waits.append(int(last["Retry-After"]))
    assert waits == [60, 120, 240, 480, 960]
    assert "Try again at " in last.text


@pytest.mark.share(2)
def test_one_account_is_guessed_at_less_than_a_hundred_times_a_day(armand, clock):
    known_device(at="192.0.2.77")  # so that guesses from there count for themselves

    from_anywhere = a_day_of_guesses(clock, at="198.51.100.{}")
    clock.now_s += 2 * DAY_S
    from_the_house = a_day_of_guesses(clock, at="192.0.2.77")

    assert from_anywhere > 20
    assert from_the_house > 20
    assert from_anywhere + from_the_house <= 100


def test_the_right_password_after_the_guesses_of_a_stranger(armand, clock):
    device, elsewhere = known_device(), Browser()
    for _try in range(40):
        sign_in(Browser(), "guess", at="198.51.100.7")

    refused = sign_in(elsewhere, PASSWORD, at="203.0.113.9")
    by_device = sign_in(device, PASSWORD, at="203.0.113.9")
    by_address = sign_in(Browser(), PASSWORD, at="192.0.2.1")

    assert refused.status_code == 429
    assert "On a device on which you signed in before you need not wait." in refused.text
    assert (by_device.status_code, by_address.status_code) == (302, 302)


def test_one_address_cannot_try_many_names(armand, helene, clock):
    answers = [sign_in(Browser(), "guess", name=f"name-{n}").status_code for n in range(22)]

    assert answers == [200] * 21 + [429]
    assert sign_in(Browser(), PASSWORD, name="helene", at="192.0.2.2").status_code == 302


def test_the_house_behind_one_address_signs_in_as_often_as_it_likes(armand, clock):
    answers = [sign_in(Browser(), PASSWORD).status_code for _time in range(60)]

    assert answers == [302] * 60


def test_a_known_device_may_be_guessed_at_no_more_than_another(armand, clock):
    device = known_device()

    answers = [sign_in(device, "guess").status_code for _try in range(13)]

    assert answers == [200] * 11 + [429] * 2
    assert "Too many wrong passwords on this device." in sign_in(device, "guess").text


@pytest.mark.parametrize("cookie", ["", "x", "eyJkZXZpY2UiOiJ4In0:1:x", "a" * 5000, "\x00"])
def test_a_forged_cookie_makes_no_device_known(armand, clock, cookie):
    browser = Browser()
    browser.cookies[guessing.COOKIE] = cookie
    for _try in range(12):
        sign_in(Browser(), "guess", at="198.51.100.7")

    assert sign_in(browser, PASSWORD, at="203.0.113.9").status_code == 429


def test_a_device_known_to_one_account_is_not_known_to_another(armand, helene, clock):
    device = known_device()
    for _try in range(12):
        sign_in(Browser(), "guess", name="helene", at="198.51.100.7")

    assert sign_in(device, PASSWORD, name="helene", at="203.0.113.9").status_code == 429


def test_neither_name_nor_address_is_kept(armand, clock):
    sign_in(Browser(), "guess", at="198.51.100.7")

    kept = str(list(Tries.objects.values()))

    assert "armand" not in kept
    assert "198.51" not in kept


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "Too many wrong passwords for this name. Try again in 60 seconds."),
        ("fr", "Trop de mots de passe faux pour ce nom. Réessayez dans 60\u00a0secondes."),
    ],
)
def test_the_sentence_is_in_the_reader_s_language(armand, clock, language, words):
    browser = Browser()
    browser.cookies["django_language"] = language
    for _try in range(12):
        answer = sign_in(browser, "guess")

    assert words in answer.text
