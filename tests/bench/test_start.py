"""An empty house opens on what is worth saying first; each step may be left out."""

from __future__ import annotations

import datetime as dt
import html
import re
from decimal import Decimal

import pytest
from django.urls import reverse

from repairs.people.house_models import House
from repairs.readings.models import Tool
from tests import factories

HOME, START, PASS = "/", reverse("bench:start"), reverse("bench:start_pass")
OPENS = "The workshop opens"


@pytest.fixture
def head(client, helene):
    client.force_login(helene)
    return client


def page_of(client, address: str = HOME) -> str:
    return " ".join(html.unescape(client.get(address).text).split())


def done(page: str) -> int:
    found = re.search(r"(\d) of 6 steps done", page)
    assert found
    return int(found[1])


def sent(**changed: str) -> dict[str, str]:
    return {
        "step": "house",
        "house-name": "Atelier du Puits",
        "house-address": "2, place du Puits\n63000 Clermont",
        "house-country": "FR",
        "house-phone": "",
        "house-email": "",
    } | changed


def test_an_empty_house_opens_on_its_start(head):
    page = page_of(head)

    assert OPENS in page
    assert done(page) == 0
    assert "Take an instrument in" in page
    assert "Nothing is late." not in page


def test_name_and_address_are_kept_and_ticked(head):
    answer = head.post(START, sent())

    house = House.objects.get()
    assert answer["Location"] == START
    assert (house.name, house.country) == ("Atelier du Puits", "FR")
    assert done(page_of(head)) == 1


def test_rates_are_kept_before_the_name_is_known(head):
    rates = {"rates-hourly_rate": "62,50", "rates-vat_regime": "normal"}
    head.post(START, {"step": "rates", "rates-default_rate_pct": "20", **rates})

    assert House.objects.get().hourly_rate == Decimal("62.50")
    assert done(page_of(head)) == 1


def test_what_is_wrong_is_said_in_its_step_and_kept(head):
    page = html.unescape(head.post(START, sent(**{"house-email": "no address"})).text)

    assert "Enter a valid email address." in page
    assert 'value="no address"' in page
    assert not House.objects.exists()


@pytest.mark.parametrize("step", ["rates", "limits", "people"])
def test_a_step_may_stay_as_it_is(head, step):
    assert head.post(PASS, {"step": step})["Location"] == START

    assert done(page_of(head)) == 1


def test_tools_and_people_count_when_they_are_there(head):
    Tool.objects.create(
        name="dial", unit="mm", resolution=Decimal("0.01"), calibrated_on=dt.date(2026, 1, 2)
    )
    factories.person("armand", "luthier")

    assert done(page_of(head)) == 2


def test_it_can_be_left_and_taken_up_again(head):
    assert head.post(PASS, {"step": ""})["Location"] == HOME

    page = page_of(head)
    assert OPENS not in page
    assert f'href="{START}"' in page
    assert OPENS in page_of(head, START)


def test_the_first_instrument_ends_it(head, case):
    page = page_of(head)

    assert OPENS not in page
    assert START not in page


def test_who_may_not_set_the_house_up_sees_the_bench(client, armand):
    client.force_login(armand)

    page = page_of(client)

    assert OPENS not in page
    assert START not in page


def test_a_step_without_a_form_takes_none(head):
    assert head.post(START, {"step": "tools"}).status_code == 404
