"""A stay of an instrument of the house: what comes first is said, and leads on to the work."""

from __future__ import annotations

import html

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.findings.actions import note_looks
from tests import factories


@pytest.fixture
def house_case(house, helene, armand) -> Case:
    owner = factories.owner(by=helene, name="Atelier Sautarel", kind="house")
    return factories.case(factories.instrument(owner, by=helene), by=armand, reason="house")


def test_before_it_is_looked_over_the_docket_and_the_page_say_what_is_missing(
    house_case, helene, client, see
):
    client.force_login(helene)
    address = reverse("treatment:agree", args=[house_case.number])

    docket = client.get(house_case.get_absolute_url()).text
    page = see("agree", house_case.number, by=helene)

    assert address in docket
    for shown in (docket, page):
        assert "First the instrument is looked over." in shown
        assert "at least one part is ticked as looked at" in shown
        assert reverse("findings:look_over", args=[house_case.number]) in shown
    assert "Note it as agreed" not in page
    assert reverse("findings:finish", args=[house_case.number]) not in page


def test_once_looked_over_the_page_leads_on_to_the_work(house_case, helene, client, see):
    part = house_case.instrument.parts.first()
    note_looks(house_case, {part.pk: ("looked", "")}, by=helene, at=timezone.now())
    factories.examination(house_case, by=helene)
    finish = reverse("findings:finish", args=[house_case.number])

    assert finish in see("agree", house_case.number, by=helene)
    client.post(finish)

    page = see("agree", house_case.number, by=helene)
    assert "Note it as agreed" in page
    assert "First the instrument is looked over." not in page


def test_an_instrument_of_the_house_comes_in_to_be_finished(house_case, owner, helene, client):
    client.force_login(helene)
    theirs = factories.instrument(owner, by=helene)

    pages = [
        html.unescape(client.get(reverse("cases:take_in", args=[number])).text)
        for number in (house_case.instrument.number, theirs.number)
    ]

    assert '<option value="house" selected' in pages[0]
    assert '<option value="house" selected' not in pages[1]
