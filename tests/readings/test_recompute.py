"""Computing anew: what changed is shown, and nothing that was said is ever rewritten."""

from __future__ import annotations

import dataclasses
import html
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.gauges.base import registry
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.readings import actions
from repairs.readings.models import Prescription, Result, Verdict
from tests import factories
from tests.readings import samples

pytestmark = pytest.mark.django_db


@pytest.fixture
def reading(case, armand):
    return samples.reading(case, by=armand)


@pytest.fixture
def newer(monkeypatch):
    """A wheel gauge of a later version, which sees the eccentricity a tenth larger."""
    old = gauges()["wheel"]

    def run(given: Any) -> dict[str, Any]:
        said = dict(old.run(given))
        said["ecc_mm"] *= 1.1
        return said

    gauge = dataclasses.replace(old, version="wheel 99", run=run)
    monkeypatch.setitem(registry._GAUGES, "wheel", gauge)
    return gauge


def refuse(given: Any) -> dict[str, Any]:
    raise GaugeInputError("too_small", field="mean_diameter_mm", value="170.2", limit="180")


def page_of(client, reading) -> str:
    answer = client.get(reading.get_absolute_url())
    assert answer.status_code == 200
    return " ".join(html.unescape(answer.text).split())


def rows_of(model: Any) -> list[dict[str, Any]]:
    return list(model.objects.order_by("pk").values())


def test_the_same_code_finds_no_difference(client, armand, reading):
    client.force_login(armand)

    assert actions.differences(reading) == []
    assert "The present code sees some figures otherwise" not in page_of(client, reading)


@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_no_sheet_differs_from_itself(case, armand, gauge):
    reading = samples.reading(case, by=armand, gauge=gauge)

    assert actions.differences(reading) == []


def test_another_version_shows_what_it_sees_otherwise(client, armand, reading, newer):
    client.force_login(armand)

    (change,) = actions.differences(reading)
    page = page_of(client, reading)

    assert change.figure == "ecc_mm"
    assert change.was is not None
    assert change.now == pytest.approx(change.was * 1.1)
    assert "The present code sees some figures otherwise:" in page
    assert "Eccentricity: 0.100 → 0.110" in page
    assert "ecc_mm" not in page
    assert "wheel 99" not in page


def test_a_figure_that_is_new_or_gone_is_a_difference(reading, monkeypatch):
    old = gauges()["wheel"]

    def run(given: Any) -> dict[str, Any]:
        return dict(old.run(given)) | {"oval_amp_mm": None, "swelling_pct": 3.0}

    monkeypatch.setitem(registry._GAUGES, "wheel", dataclasses.replace(old, run=run))

    found = {change.figure: change for change in actions.differences(reading)}

    assert found["oval_amp_mm"].now is None
    assert (found["swelling_pct"].was, found["swelling_pct"].now) == (None, 3.0)


def test_computing_anew_writes_a_second_result_and_leaves_the_first(
    client, armand, reading, newer, case
):
    before = [rows_of(model) for model in (Result, Verdict, Prescription)]
    client.force_login(armand)

    answer = client.post(reverse("readings:recompute", args=[case.number, 1]), follow=True)

    after = [rows_of(model) for model in (Result, Verdict, Prescription)]
    assert "Computed anew; the earlier result stays beside it." in answer.text
    for old, new in zip(before, after, strict=True):
        assert new[: len(old)] == old
    assert [row["version"] for row in after[0]] == ["wheel 3", "wheel 99"]
    assert reading.results.count() == 2
    fresh = type(reading).objects.get(pk=reading.pk)
    assert fresh.latest.version == "wheel 99"
    assert fresh.raw == reading.raw
    assert actions.differences(fresh) == []
    line = LogEntry.objects.get(verb="reading.recomputed")
    assert line.details == {"reading": 1, "version": "wheel 99"}
    page = page_of(client, reading)
    assert "Version 3 of the gauge" in page
    assert "Version 99 of the gauge" in page
    assert "wheel 3" not in page


def test_code_that_refuses_what_an_earlier_one_took_says_so(
    client, armand, reading, monkeypatch, case
):
    gauge = dataclasses.replace(gauges()["wheel"], version="wheel 99", run=refuse)
    monkeypatch.setitem(registry._GAUGES, "wheel", gauge)
    client.force_login(armand)

    page = page_of(client, reading)
    answer = client.post(reverse("readings:recompute", args=[case.number, 1]), follow=True)

    assert "The present code refuses these values:" in page
    assert "Diameter of the wheel is 170.2; less than 180" in page
    assert "Run-out in one turn" in page
    assert "Diameter of the wheel is 170.2; less than 180" in html.unescape(answer.text)
    assert Result.objects.count() == 1


@pytest.mark.parametrize("model", [Result, Verdict, Prescription])
def test_what_a_gauge_said_is_never_rewritten(reading, model):
    row = model.objects.first()

    with pytest.raises(TypeError, match="never rewritten"):
        row.save()


def test_a_reading_not_permitted_cannot_be_computed_into_a_claim(client, armand, case):
    samples.reading(case, by=armand, not_permitted="the owner said no")
    client.force_login(armand)

    answer = client.post(reverse("readings:recompute", args=[case.number, 1]))

    assert answer.status_code == 404
    assert not Result.objects.exists()


def test_a_withdrawn_reading_keeps_its_values_and_can_be_put_back(client, armand, case, reading):
    client.force_login(armand)
    address = reverse("readings:withdraw", args=[case.number, 1])

    client.post(address)
    gone = client.get(case.get_absolute_url()).text
    page = page_of(client, reading)
    client.post(address, {"undo": "1"})
    back = client.get(case.get_absolute_url()).text

    assert reading.get_absolute_url() not in gone
    assert "This reading is withdrawn." in page
    assert "Put it back" in page
    assert 'value="undo"' not in page
    assert reading.get_absolute_url() in back
    assert list(LogEntry.objects.filter(verb__startswith="reading.").values_list("verb")) == [
        ("reading.taken",),
        ("reading.withdrawn",),
        ("reading.put_back",),
    ]
    assert Verdict.objects.exists()


def test_the_number_of_a_withdrawn_reading_is_not_given_again(case, armand, reading):
    actions.set_withdrawn(reading, True, by=armand, at=timezone.now())

    assert samples.reading(case, by=armand).number == 2


def test_withdrawing_and_computing_want_a_post(client, armand, case, reading):
    client.force_login(armand)

    for name in ("recompute", "withdraw"):
        address = reverse(f"readings:{name}", args=[case.number, 1])
        assert client.get(address).status_code == 405


def test_a_reading_is_only_found_in_its_own_case(client, armand, case, vielle, reading):
    other = factories.case(vielle, by=armand)
    client.force_login(armand)

    for name in ("detail", "recompute", "withdraw"):
        address = reverse(f"readings:{name}", args=[other.number, 1])
        assert client.post(address).status_code == 404
