"""Units cannot slip by a hundred: they are in sight, asked about, and offered as last time."""

from __future__ import annotations

import pytest

from repairs.readings.models import Reading, Tool
from tests.readings import samples
from tests.readings.pages import page_of


def in_mm():
    """The sample wheel, of 0.1 mm of eccentricity, with its dial written in millimetres."""
    rows = samples.wheel_rows(ecc=0.1)
    for place, row in enumerate(samples.wheel_rows(ecc=1000)):
        rows[place]["reading"] = f"{float(row['reading'].replace(',', '.')) / 1e4:.3f}"
    return rows


def test_millimetres_taken_for_hundredths_are_asked_about_before_they_are_kept(post):
    answer = post(samples.wheel(in_mm(), scale="hundredths"))

    page = page_of(answer)
    assert answer.status_code == 422
    assert not Reading.objects.exists()
    assert "all 24 values lie within 0.2 × 1/100 mm, less than the 1 × 1/100 mm that the tool" in (
        page
    )
    assert "I looked again: it is so" in page


def test_an_honest_yes_keeps_them(post):
    answer = post(samples.wheel(in_mm(), scale="hundredths") | {"so_it_is": "1"})

    assert answer.status_code == 302


def test_the_same_in_its_own_unit_is_not_asked_about(post):
    assert post(samples.wheel(in_mm(), scale="mm")).status_code == 302


def test_a_value_finer_than_the_tool_reads_is_asked_about(post, db):
    tool = Tool.objects.create(name="dial 0.01", resolution="0.01", unit="mm")
    rows = samples.wheel_rows()
    rows[4]["reading"] = "9,13"  # 0.0913 mm: a hundredth of a division

    answer = post(samples.wheel(rows) | {"tool": str(tool.pk)})

    assert answer.status_code == 422
    assert "9.13 × 1/100 mm in row 5 is finer than the tool reads" in page_of(answer)


@pytest.mark.parametrize(
    ("scale", "unit"), [("mm", "(mm)"), ("hundredths", "(1/100 mm)"), ("microns", "(1/1000 mm)")]
)
def test_the_unit_stands_in_the_head_of_its_columns(post, scale, unit):
    page = page_of(post(samples.wheel(scale=scale) | {"try": "1"}))

    head = page[page.index("<thead>") : page.index("</thead>")] if "<thead>" in page else page
    assert head.count(unit) >= 4  # the dial, its second and third turn, the side dial


def test_the_unit_of_last_time_is_offered_for_the_same_instrument(client, case, post):
    post(samples.wheel(in_mm(), scale="mm", sign="-1", turned="forward"))

    page = client.get(samples.address(case)).text

    chosen = [line for line in page.split("<option") if "selected" in line]
    assert any('value="mm"' in line for line in chosen)
    assert any('value="-1"' in line for line in chosen)
    assert any('value="forward"' in line for line in chosen)


@pytest.mark.parametrize("gauge", ["plate"])
@pytest.mark.parametrize(
    ("language", "per", "sentence"),
    [
        ("en", 1000, "Along: the places lie within 0.3 mm; 60 to 1200 mm is usual."),
        ("fr", 10, "En long : les endroits tiennent dans 30 mm"),
    ],
)
def test_places_of_a_plate_in_metres_are_asked_about(post, armand, gauge, language, per, sentence):
    armand.language = language
    armand.save(update_fields=["language"])
    words = samples.plate()
    for name in [one for one in words if one.startswith(("x_mm-", "y_mm-"))]:
        words[name] = f"{float(words[name]) / per:g}"

    answer = post(words, gauge)

    assert answer.status_code == 422
    assert sentence in page_of(answer)
    assert post(words | {"so_it_is": "1"}, gauge).status_code == 302
