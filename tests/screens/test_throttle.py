"""The brake counts alike in one process and in many, and knows who stands behind a proxy."""

from __future__ import annotations

import datetime as dt
from threading import Barrier

import pytest
from django.test import RequestFactory

from repairs.screens.addresses import address_of
from repairs.screens.throttle import Brake, is_remembered, remember, sweep_tries
from repairs.screens.tries_models import Tries
from tests.beside import shared_database
from tests.screens.at_once import hands

BRAKE = Brake("trial", free=3, first_s=10, most_s=30, forget_s=3600)
START_S = 1_800_000_000


@pytest.fixture
def at(monkeypatch):
    def set_to(second: int) -> None:
        monkeypatch.setattr("repairs.screens.throttle.time.time", lambda: START_S + second)

    set_to(0)
    return set_to


@pytest.mark.django_db
def test_waits_double_up_to_the_longest_and_are_forgotten(at):
    waits, now = [], 0
    for _try in range(8):
        assert BRAKE.count("who") == 0
        waits.append(BRAKE.wait_s("who"))
        now += waits[-1]
        at(now)

    assert waits == [0, 0, 0, 10, 20, 30, 30, 30]
    at(now + 3601)
    assert BRAKE.count("who") == 0
    assert (BRAKE.wait_s("who"), Tries.objects.get().n) == (0, 1)


@pytest.mark.django_db
def test_who_comes_too_early_is_told_how_long_and_not_counted(at):
    for _try in range(4):
        BRAKE.count("who")
    at(4)

    assert [BRAKE.count("who") for _try in range(5)] == [6] * 5
    assert Tries.objects.get().n == 4
    assert BRAKE.count("another") == 0


@pytest.mark.django_db
def test_what_was_no_try_is_given_back(at):
    for _try in range(20):
        assert BRAKE.count("who") == 0
        BRAKE.give_back("who")


@pytest.mark.django_db
def test_rows_of_which_nothing_follows_are_swept(at):
    remember("seen", "who")
    now = dt.datetime.fromtimestamp(START_S, dt.UTC)

    assert sweep_tries(at=now + dt.timedelta(days=30)) == 0
    assert is_remembered("seen", "who")
    assert sweep_tries(at=now + dt.timedelta(days=32)) == 1
    assert not is_remembered("seen", "who")


@pytest.mark.django_db(transaction=True)
def test_no_try_of_many_at_once_is_lost(tmp_path):
    wide = Brake("many", free=10_000, first_s=1, most_s=1, forget_s=3600)
    with shared_database(tmp_path), hands(4) as pool:
        start = Barrier(4)

        def try_often() -> None:
            start.wait(20)
            for _try in range(25):
                assert wide.count("who") == 0

        for run in [pool.submit(try_often) for _hand in range(4)]:
            run.result(60)

        assert Tries.objects.get().n == 100


@pytest.mark.parametrize(
    ("proxies", "forwarded", "address"),
    [
        (0, "203.0.113.9", "192.0.2.1"),
        (1, "203.0.113.9", "203.0.113.9"),
        (1, "198.51.100.1, 203.0.113.9", "203.0.113.9"),  # the first is what the visitor says
        (2, "198.51.100.1, 203.0.113.9, 10.0.0.2", "203.0.113.9"),
        (2, "203.0.113.9", "192.0.2.1"),
        (1, "", "192.0.2.1"),
        (1, "2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        (1, "::ffff:203.0.113.9", "203.0.113.9"),
        (1, "nonsense", "nonsense"),
    ],
)
def test_the_address_is_what_the_outermost_proxy_of_the_house_saw(
    settings, proxies, forwarded, address
):
    settings.PROXIES = proxies
    headers = {"x-forwarded-for": forwarded} if forwarded else {}
    request = RequestFactory().get("/", REMOTE_ADDR="192.0.2.1", headers=headers)

    assert address_of(request) == address
