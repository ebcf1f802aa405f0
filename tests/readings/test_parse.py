"""What was typed and cannot be, what is unlikely, and the sentences that say so."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from django.utils import translation

from repairs.gauges.base.errors import SENTENCES, GaugeInputError
from repairs.readings.actions import compute
from repairs.readings.gauge_refusals import REFUSALS, refusal_words
from repairs.readings.models import Reading, Result
from repairs.readings.parse import parse, raw_of
from repairs.readings.sheets.catalogue import sheet_of
from tests.readings import samples

WHEEL = sheet_of("wheel")
CORRECTION = sheet_of("correction")


def text_of(answer: Any) -> str:
    words = html.unescape(re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.text, flags=re.S))
    return " ".join(words.replace("\u00a0", " ").split())


def with_cells(gauge: str = "wheel", **cells: str) -> dict[str, str]:
    """The sample of a sheet with some cells typed otherwise; ``reading_7`` is row 7."""
    return samples.SAMPLES[gauge]() | {
        re.sub(r"_(\d+)$", r"-\1", name): typed for name, typed in cells.items()
    }


@pytest.mark.parametrize(
    ("gauge", "cells", "sentence"),
    [
        ("wheel", {"mean_diameter_mm": "2000"}, "Diameter of the wheel: 2000 is more than 400"),
        ("wheel", {"mean_diameter_mm": "-170"}, "Diameter of the wheel: -170 is less than 60"),
        ("wheel", {"mean_diameter_mm": ""}, "Diameter of the wheel: is missing."),
        ("wheel", {"angle_deg_3": "north"}, "Angle, row 3: “north” is not a number."),
        ("wheel", {"angle_deg_3": ""}, "Angle, row 3: is missing."),
        ("wheel", {"reading_7": "NaN"}, "Dial, row 7: “NaN” is not a number."),
        ("wheel", {"reading_7": "inf"}, "Dial, row 7: “inf” is not a number."),
        ("wheel", {"reading_7": "1e400"}, "Dial, row 7: 1e400 is more than 30000"),
        ("wheel", {"reading_7": "1,234.5"}, "Dial, row 7: “1,234.5” is not a number."),
        ("wheel", {"reading_7": "600"}, "the range of the dial is"),
        ("wheel", {"reading_2": "9000"}, "Dial, row 2 is 90; more than 30 is not possible here."),
        ("wheel", {"angle_deg_24": "30"}, "Angle, row 24 is 30, which stands there twice."),
        ("wheel", {"angle_deg_24": "390"}, "Angle, row 24 is 390, which stands there twice."),
        ("wheel", {"gauge_sigma_mm": "0"}, "Repeatability of the dial: 0 is less than 0.0001"),
        ("wheel", {"scale": "inches"}, "“inches” is not one of the choices."),
        ("wheel", {"rim": "<b>"}, "The rim is: “<b>” is not one of the choices."),
        ("wheel", {"axial_3": "x"}, "Side dial, row 3: “x” is not a number."),
        ("correction", {"first_2": "flat"}, "First chanterelle, row 2: “flat” is not a number."),
        ("correction", {"first_2": "500"}, "First chanterelle, row 2 is 500; more than 200"),
        ("correction", {"key_3": "2"}, "Key, row 3 is 2, which stands there twice."),
        ("correction", {"key_3": "2,5"}, "Key, row 3 is 2.5; it must be a whole number."),
        ("correction", {"length_mm": "10000"}, "Speaking length: 10000 is more than 1000"),
        ("correction", {"scl": "no\nscale"}, "Or a Scala .scl file, pasted, row 2 is"),
        ("string_set", {"length_mm_1": "10000"}, "Speaking length, row 1: 10000 is more than 2000"),
        ("string_set", {"diameter_mm_2": "-0,8"}, "Diameter, row 2: -0,8 is less than 0.05"),
        ("string_set", {"pitch_hz_1": ""}, "Pitch, row 1: is missing."),
        ("string_set", {"material_1": ""}, "row 1"),
        ("action", {"gap_1_2": "x"}, "Gap 1, row 2: “x” is not a number."),
    ],
)
def test_the_impossible_is_refused_with_field_and_row(post, gauge, cells, sentence):
    words = with_cells(gauge, **cells)

    answer = post(words, gauge, note="read twice")

    assert answer.status_code == 422
    assert "Nothing was saved yet. Please mend:" in text_of(answer)
    assert sentence.casefold() in text_of(answer).casefold()
    for typed in [typed for typed in words.values() if len(typed) > 3 and "\n" not in typed]:
        assert html.escape(typed) in answer.text
    assert "read twice" in answer.text
    assert not Reading.objects.exists()
    assert not Result.objects.exists()


def test_the_cell_that_is_wrong_is_marked_and_linked(post):
    page = post(with_cells(reading_7="x", angle_deg_9="30")).text

    assert 'href="#cell-reading-7"' in page
    assert re.search(r'id="cell-reading-7"[^>]*aria-invalid="true"', page)
    assert 'id="problem-reading-7"' in page


def test_what_the_gauge_refuses_is_marked_at_its_cell_too(post):
    page = post(with_cells(angle_deg_9="30")).text

    assert 'href="#cell-angle_deg-9"' in page
    assert re.search(r'id="cell-angle_deg-9"[^>]*aria-invalid="true"', page)


def test_the_row_named_is_the_row_on_the_page_even_below_empty_ones(post):
    rows = samples.wheel_rows()
    rows[4] = dict.fromkeys(rows[4], "")
    rows[20]["angle_deg"] = "15"

    assert "Angle, row 21 is 15, which stands there twice." in text_of(post(samples.wheel(rows)))


@pytest.mark.parametrize("count", [0, 1, 7])
def test_fewer_than_eight_rows_are_not_enough(post, count):
    answer = post(samples.wheel(samples.wheel_rows(count=24)[:count]))

    assert answer.status_code == 422
    assert f"{count} rows are filled; at least 8 are needed." in text_of(answer)
    assert not Reading.objects.exists()


def test_eight_readings_are_enough_and_places_left_out_are_gaps(post):
    rows = samples.wheel_rows()
    for place, row in enumerate(rows):
        row["reading"] = row["reading"] if place % 3 == 0 else ""

    answer = post(samples.wheel(rows))

    assert answer.status_code == 302
    output = Result.objects.get().output
    assert output["n"] == 8
    assert "too_few_places" in output["warnings"]
    assert output["ecc_mm"] == pytest.approx(0.1, abs=0.002)


def test_readings_that_are_all_equal_ask_whether_the_gauge_touched(post):
    rows = [row | {"reading": "0,5"} for row in samples.wheel_rows()]

    answer = post(samples.wheel(rows))

    assert answer.status_code == 422
    assert "was the gauge touching?" in text_of(answer)


def test_an_empty_sheet_is_refused(post):
    answer = post({})

    assert answer.status_code == 422
    assert "0 rows are filled" in text_of(answer)
    assert not Reading.objects.exists()


@pytest.mark.parametrize("gauge", ["dog_card"])
def test_an_empty_card_is_refused_because_nothing_was_looked_at(post, gauge):
    answer = post(samples.card(gauge), gauge)

    assert answer.status_code == 422
    assert "Nothing is noted yet: fill in what was looked at." in text_of(answer)
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("gauge", "cells", "sentence"),
    [
        ("wheel", {"mean_diameter_mm": "250"}, "Diameter of the wheel: 250 mm is unusual here."),
        ("wheel", {"lift_mm": "0,1"}, "Lift of the strings at the wheel: 0,1 mm is unusual here."),
        ("string_set", {"pitch_hz_2": "39"}, "Pitch, row 2: 39 Hz is unusual here."),
    ],
)
def test_the_unlikely_is_asked_and_saved_only_with_the_tick(post, gauge, cells, sentence):
    asked = post(with_cells(gauge, **cells), gauge)

    assert asked.status_code == 422
    assert sentence in text_of(asked)
    assert 'name="so_it_is"' in asked.text
    assert '<svg class="chart"' in asked.text
    assert not Reading.objects.exists()

    assert post(with_cells(gauge, **cells) | {"so_it_is": "1"}, gauge).status_code == 302
    assert Reading.objects.count() == 1


def test_the_tick_does_not_let_the_impossible_through(post):
    answer = post(with_cells(mean_diameter_mm="2000") | {"so_it_is": "1"})

    assert answer.status_code == 422
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"taken_at": "2999-01-01T10:00"}, "cannot have been taken in the future"),
        ({"taken_at": "1999-01-01T10:00"}, "This lies before the intake."),
        ({"taken_at": "noon"}, "Enter a valid date/time."),
        ({"phase": "never"}, "Select a valid choice."),
        ({"room_rh_pct": "146"}, "More than 100"),
        ({"tool": "99"}, "Select a valid choice."),
    ],
)
def test_what_goes_with_the_values_is_checked_and_the_values_stay(post, said, sentence):
    answer = post(samples.wheel(), **said)

    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert 'value="170,2"' in answer.text
    assert not Reading.objects.exists()


@pytest.mark.parametrize("typed", ["8,66", "8.66", " 8,66 ", "8,660", "+8,66", "866e-2"])
def test_numbers_are_read_as_people_write_them(typed):
    words = with_cells(reading_2=typed)

    parsed = parse(WHEEL, raw_of(WHEEL, words))

    assert parsed.problems == []
    assert parsed.rows[1]["reading"] == pytest.approx(8.66)


@pytest.mark.parametrize(
    ("scale", "factor"), [("mm", 1.0), ("hundredths", 0.01), ("microns", 0.001)]
)
def test_the_dial_s_unit_and_direction_are_told_to_the_gauge(db, scale, factor):
    rows = samples.wheel_rows(ecc=0.5 if scale == "mm" else 20)

    computed = compute(WHEEL, raw_of(WHEEL, samples.wheel(rows, scale=scale, sign="-1")))

    assert computed.given["sign"] == -1
    first = float(rows[0]["reading"].replace(",", "."))
    assert computed.given["readings_mm"][0] == pytest.approx(first * factor)


def test_a_text_that_no_database_takes_is_kept_without_its_zero_byte(post):
    words = samples.form({}, [samples.string("Chant\0erelle", "345", "392", "0,8")])

    assert post(words, "string_set").status_code == 302
    assert Reading.objects.get().raw["rows"][0]["name"] == "Chanterelle"


def test_two_strings_of_one_name_and_a_very_long_name_are_taken(post):
    names = ["Mouche", "Mouche", "Trompette " * 20]
    words = samples.form({}, [samples.string(name, "345", "196", "1,4") for name in names])

    assert post(words, "string_set").status_code == 302
    verdicts = Result.objects.get().verdicts.filter(figure__startswith="tension_n:")
    assert len({verdict.figure for verdict in verdicts}) == 3
    assert max(len(verdict.figure) for verdict in verdicts) <= 60


def test_only_as_many_rows_are_read_as_the_sheet_has():
    rows = samples.wheel_rows() * 10

    assert len(raw_of(WHEEL, samples.wheel(rows))["rows"]) == WHEEL.most_rows


def test_every_refusal_of_the_gauges_can_be_said_here():
    assert set(REFUSALS) == set(SENTENCES)


@pytest.mark.parametrize("code", sorted(SENTENCES))
@pytest.mark.parametrize("language", ["en", "fr"])
def test_every_refusal_names_field_row_and_value(code, language):
    details = {"value": "3.7", "limit": "2.5", "other": "b", "known": "x, y", "why": "it is so"}
    refusal = GaugeInputError(code, field="angles_deg", row=7, **details)

    with translation.override(language):
        said = refusal_words(WHEEL, refusal)

    row = {"en": "Angle, row 7", "fr": "Angle, "}[language]
    own = refusal.sentence()
    assert "%(" not in said
    assert row in said or "angles_deg" not in own.partition("%")[0]
    assert ("3.7" in own) == ("3.7" in said or "3,7" in said)
    assert ("2.5" in own) == ("2.5" in said or "2,5" in said)
    if language == "fr":
        assert "3.7" not in said


def test_refusals_and_problems_are_said_in_french(post, armand, client):
    armand.language = "fr"
    armand.save()
    client.force_login(armand)

    page = text_of(post(with_cells(gauge_sigma_mm="0,00001", reading_7="x")))

    assert "0,0001" in page
    assert "0.0001" not in page
