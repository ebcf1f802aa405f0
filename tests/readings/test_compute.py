"""Computing a reading before it is saved: all is shown, nothing is written, nothing is lost."""

from __future__ import annotations

from typing import Any

import lxml.html  # type: ignore[import-untyped]
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from repairs.audit.models import LogEntry
from repairs.readings.actions import compute
from repairs.readings.models import Prescription, Reading, Result, Verdict
from repairs.readings.sheets.catalogue import sheet_of
from tests.readings import samples
from tests.readings.pages import page_of

pytestmark = pytest.mark.django_db


def typed_in(answer: Any) -> Any:
    """Names and values of the entry form, as the browser would send them again."""
    (form,) = lxml.html.fromstring(answer.text).xpath("//form[@data-reading]")
    cells = form.xpath(".//textarea | .//select | .//input[not(@type='file')]")
    return {(cell.name, (cell.value or "").strip()) for cell in cells}


def has_chart(gauge: str) -> bool:
    computed = compute(sheet_of(gauge), samples.raw(gauge))
    return sheet_of(gauge).chart(computed.given, computed.output, None, None) is not None


def nothing_written() -> bool:
    return (
        not any(model.objects.exists() for model in (Reading, Result, Verdict, Prescription))
        and not LogEntry.objects.filter(verb__startswith="reading.").exists()
    )


@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_compute_without_javascript_shows_chart_and_figures_and_saves_nothing(post, gauge):
    answer = post(samples.SAMPLES[gauge]() | {"try": "1"}, gauge)

    page = page_of(answer)
    computed = compute(sheet_of(gauge), samples.raw(gauge))
    assert answer.status_code == 200
    assert ('<svg class="chart"' in page) is has_chart(gauge)
    for figure in computed.figures:
        label = str(figure.label)
        assert label[:1].upper() + label[1:] in page
    assert typed_in(answer) >= samples.SAMPLES[gauge]().items()
    assert nothing_written()


def test_compute_saves_nothing_even_when_not_permitted_is_filled_in(post):
    answer = post(samples.wheel() | {"try": "1"}, not_permitted="the owner said no")

    assert answer.status_code == 200
    assert "the owner said no" in page_of(answer)
    assert nothing_written()


@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_the_try_address_answers_a_fragment_and_saves_nothing(client, armand, case, gauge):
    client.force_login(armand)

    answer = client.post(samples.address(case, gauge, "try"), samples.SAMPLES[gauge]())

    assert answer.status_code == 200
    assert "<html" not in answer.text
    assert ('<svg class="chart"' in answer.text) is has_chart(gauge)
    assert '<table class="figures">' in answer.text
    assert nothing_written()


def test_the_try_address_says_what_hinders_and_takes_no_get(client, armand, case):
    client.force_login(armand)

    answer = client.post(
        samples.address(case, name="try"), samples.wheel(mean_diameter_mm="2000", lift_mm="much")
    )

    assert "2 values cannot be used yet:" in answer.text
    assert "<svg" not in answer.text
    assert client.get(samples.address(case, name="try")).status_code == 405


def test_a_file_sent_for_computing_is_not_lost(client, armand, case):
    client.force_login(armand)
    words = samples.climate()
    text = words.pop("csv")
    file = SimpleUploadedFile("log.csv", text.encode("cp1252"), content_type="text/csv")

    answer = client.post(
        samples.address(case, "climate_log"),
        samples.about() | words | {"csv": file, "try": "1"},
    )

    assert answer.status_code == 200
    assert '<svg class="chart"' in answer.text
    assert ("csv", text) in typed_in(answer)


def test_nothing_typed_yet_is_no_fault_of_the_server(client, armand, case):
    client.force_login(armand)

    answer = client.post(samples.address(case, name="try"), {})

    assert answer.status_code == 200
    assert nothing_written()


@pytest.mark.parametrize("gauge", ["barometer", "wheel_force", "string"])
def test_a_gauge_without_a_sheet_is_not_found(client, armand, case, gauge):
    client.force_login(armand)

    assert client.get(samples.address(case, gauge)).status_code == 404
    assert client.post(samples.address(case, gauge, "try")).status_code == 404
