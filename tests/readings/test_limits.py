"""Limits of the house and tools of the shop."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.gauges.wheel import advice as wheel_advice
from repairs.readings.limits import limited_figures
from repairs.readings.models import HouseLimit, Reading, Tool
from tests.readings import samples
from tests.readings.pages import page_of

pytestmark = pytest.mark.django_db
LIMIT = reverse("readings:limit_edit", args=["wheel", "tir_mm"])


@pytest.fixture
def set_limit(client, helene):
    def send(address: str = LIMIT, **typed: str) -> Any:
        client.force_login(helene)
        words = {"lower": "", "upper": "0,3", "source": "our own bench"} | typed
        return client.post(address, words)

    return send


def test_a_limit_of_the_house_holds_for_new_readings_only(set_limit, case, armand, client):
    old = samples.reading(case, by=armand)

    answer = set_limit()
    new = samples.reading(case, by=armand)

    was, now = (samples.verdict_of(row, "tir_mm") for row in (old, new))
    assert answer["Location"] == reverse("readings:limits")
    assert (was.upper, was.word) == (wheel_advice.DEFAULT_LIMITS["tir_mm"].upper, "outside")
    assert (now.lower, now.upper, now.source, now.word) == (None, 0.3, "our own bench", "inside")
    page = page_of(client.get(reverse("readings:limits")))
    assert "at most 0.3 mm" in page
    assert "our own bench" in page
    assert "at most 0.05 mm" in page
    line = LogEntry.objects.get(verb="limit.set")
    assert line.subject == "limit:wheel.tir_mm"
    assert float(line.details["upper"]) == 0.3


def test_the_limit_set_last_counts_and_earlier_ones_stay(set_limit, case, armand):
    set_limit(upper="0.3")
    set_limit(upper="0,01", source="a stricter bench")

    new = samples.reading(case, by=armand)

    assert samples.verdict_of(new, "tir_mm").source == "a stricter bench"
    assert HouseLimit.objects.count() == 2


def test_a_limit_holds_for_every_row_of_its_figure(set_limit, case, armand):
    address = reverse("readings:limit_edit", args=["correction", "off_cents"])
    set_limit(address, lower="-30", upper="30", source="for a fair")

    reading = samples.reading(case, by=armand, gauge="correction")

    rows = samples.result_of(reading).verdicts.filter(figure__startswith="off_cents:")
    assert rows.count() == 6
    assert {(row.lower, row.upper, row.word) for row in rows} == {(-30.0, 30.0, "inside")}


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"lower": "0,4"}, "The upper end lies below the lower one."),
        ({"upper": ""}, "Give at least one of the two ends."),
        ({"source": ""}, "This field is required."),
        ({"upper": "much"}, "“much” is not a number."),
        ({"upper": "NaN"}, "“NaN” is not a number."),
        ({"upper": "1e9"}, "More than 1000000"),
    ],
)
def test_a_limit_that_says_nothing_or_contradicts_itself_is_refused(set_limit, typed, sentence):
    answer = set_limit(**typed)

    assert answer.status_code == 200
    assert sentence in page_of(answer)
    assert not HouseLimit.objects.exists()


@pytest.mark.parametrize("role", ["armand", "lise", "odile", "tom"])
def test_only_the_principal_sets_limits(client, request, role):
    client.force_login(request.getfixturevalue(role))

    assert client.get(reverse("readings:limits")).status_code == 403
    assert client.post(LIMIT, {"upper": "1", "source": "mine"}).status_code == 403
    assert not HouseLimit.objects.exists()


def test_a_limit_of_an_unknown_figure_is_not_found(set_limit):
    assert set_limit(reverse("readings:limit_edit", args=["wheel", "colour"])).status_code == 404
    assert set_limit(reverse("readings:limit_edit", args=["moon", "tir_mm"])).status_code == 404


def test_every_limit_can_be_opened_and_set(client, helene, set_limit):
    client.force_login(helene)

    for row in limited_figures():
        address = reverse("readings:limit_edit", args=[row.gauge, row.figure])
        assert client.get(address).status_code == 200
        assert set_limit(address, lower="0,5", upper="0.75").status_code == 302
    words = {row.house for row in limited_figures()}
    assert all(said.startswith("from 0.5 to 0.75") for said in words)


def test_tools_are_kept_with_resolution_and_offered(client, armand, case):
    client.force_login(armand)
    typed = {"name": "Dial, blue", "resolution": "0,01", "unit": "mm"}

    answer = client.post(reverse("readings:tools"), typed | {"calibrated_on": "2026-10-01"})
    page = page_of(client.get(answer["Location"]))
    sheet = client.get(samples.address(case)).text

    tool = Tool.objects.get()
    assert tool.resolution == Decimal("0.01")
    assert "Dial, blue" in page
    assert "0.01 mm" in page
    assert "checked on 1 October 2026" in page
    assert f'<option value="{tool.pk}">Dial, blue</option>' in sheet
    assert LogEntry.objects.filter(verb="tool.kept").count() == 1


@pytest.mark.parametrize(
    "typed", [{"resolution": "0"}, {"resolution": "-1"}, {"resolution": ""}, {"name": ""}]
)
def test_a_tool_without_name_or_resolution_is_refused(client, armand, typed):
    client.force_login(armand)
    words = {"name": "Dial", "resolution": "0.01", "unit": "mm"} | typed

    assert client.post(reverse("readings:tools"), words).status_code == 200
    assert not Tool.objects.exists()


def test_two_tools_have_two_names(client, armand):
    client.force_login(armand)
    words = {"name": "Dial", "resolution": "0.01", "unit": "mm"}

    for _time in range(2):
        client.post(reverse("readings:tools"), words)

    assert Tool.objects.count() == 1


def test_a_reading_names_its_tool(client, armand, case):
    tool = Tool.objects.create(name="Dial, blue", resolution=Decimal("0.01"))
    client.force_login(armand)

    answer = client.post(samples.address(case), samples.about(tool=str(tool.pk)) | samples.wheel())

    assert Reading.objects.get().tool == tool
    assert "Dial, blue (0.01 mm)" in page_of(client.get(answer["Location"]))
