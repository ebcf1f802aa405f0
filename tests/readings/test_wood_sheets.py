"""The sheets of wood and air as a person fills them: what they say, and what they refuse."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from repairs.readings.actions import compute
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.words import advice_words
from tests.readings import samples

pytestmark = pytest.mark.django_db


def told(gauge: str, **said: str) -> list[str]:
    """The advice on a filled sheet, in words."""
    words = samples.SAMPLES[gauge]() | said
    lines = compute(sheet_of(gauge), samples.raw(gauge, words)).advice
    return [advice_words(line).replace("\u00a0", " ") for line in lines]


def test_a_crack_brought_home_is_read_again_when_the_wood_has_followed():
    # 3 mm, one face: 1.2 days, three times either way.
    said = told("crack_joint", gap_mm="0,55", thickness_mm="3")

    assert said[0].startswith("Bring it slowly to its home’s humidity")
    assert said[1].startswith("Wood of that thickness takes 1 to 4 days to follow the air")
    assert told("crack_joint", gap_mm="0,55")[1].startswith("Strings slack")


def test_a_crack_at_home_is_not_sent_home():
    assert told("crack_joint", gap_mm="0,1", from_rh_pct="52")[0].startswith("It is at its home’s")


@pytest.mark.parametrize(
    ("gap", "begins"),
    [("0", "The repair holds"), ("0,1", "Not sure whether"), ("0,4", "It has opened beside")],
)
def test_after_the_repair_no_glueing_is_advised(gap, begins):
    said = told("crack_joint", gap_mm=gap, repair="glued", from_rh_pct="52")

    assert said[0].startswith(begins)
    assert not any("hide glue" in line or "Glue it" in line for line in said)


def test_the_way_wood_moves_is_said_in_words():
    assert told("movement")[0] == "It shrinks by 0.74 ± 0.16 mm across the grain."
    assert told("movement", from_rh_pct="30", to_rh_pct="50")[0].startswith("It grows by 0.74")
    assert "not sure" in told("movement", from_rh_pct="50", to_rh_pct="51")[0]
    assert told("movement")[1].startswith("It takes 1 to 4 days")


def test_clamps_are_told_and_a_crack_only_wants_contact():
    assert told("clamp")[0] == "5 clamps, evenly spread, cauls beneath them."
    assert told("clamp", wood="contact")[0].startswith("Contact only")
    assert told("clamp", clamp_n="")[0].startswith("Tighten until")


def test_a_plate_says_where_and_which_way_it_moved():
    said = told("plate")

    assert said[0] == "Place 5 sank most under the strings: by 0.35 ± 0.03 mm."
    assert said[1] == "Place 7 rose most by the strings: by 0.12 ± 0.03 mm."
    assert said[2].startswith("The bridge moves with the plate")
    turned = told("plate", sign="sinks")
    assert turned[0].startswith("Place 7 sank most") and turned[1].startswith("Place 5 rose most")


def test_a_side_thrust_says_from_which_side_to_which():
    said = told("plate", side_deg="4", side_to="bass")[-1]

    assert said.startswith("The strings push the bridge towards the bass side with 9.0 ± 1.2 N")
    assert "further to the treble side" in said
    assert "bass" not in told("plate", side_deg="0,2", side_to="bass")[-1]


@pytest.mark.parametrize(
    ("gauge", "cell", "typed", "says"),
    [
        ("emc", "rh_pct", "", "Humidity of the air: is missing."),
        ("emc", "rh_pct", "damp", "Humidity of the air"),
        ("emc", "rh_pct", "-5", "impossible"),
        ("emc", "rh_pct", "500", "Check the unit"),
        ("emc", "t_c", "293", "Check the unit"),
        ("emc", "wanted_emc_pct", "90", "Check the unit"),
        ("movement", "width_mm", "", "is missing"),
        ("movement", "width_mm", "wide", "Width of the wood that moves"),
        ("movement", "width_mm", "-180", "impossible"),
        ("movement", "width_mm", "10 m", "Width of the wood that moves"),
        ("movement", "from_mc_pct", "9", "Give exactly one of"),
        ("movement", "to_rh_pct", "", "Give exactly one of"),
        ("movement", "thickness_mm", "0", "impossible"),
        ("clamp", "area_mm2", "", "is missing"),
        ("clamp", "area_mm2", "-25", "impossible"),
        ("clamp", "area_mm2", "big", "Glued area"),
        ("clamp", "clamp_n", "-1", "impossible"),
        ("plate", "tension_n", "", "Tension of the strings on this bridge"),
        ("plate", "after_deg", "365", "Check the unit"),
        ("plate", "after_deg", "-9", "more than 0"),
        ("plate", "side_deg", "5", "is missing"),
        ("plate", "side_deg", "-5", "impossible"),
        ("plate", "pitch_mm-3", "", "is missing"),
        ("plate", "pitch_mm-3", "10 m", "Dial, at pitch, row 3"),
        ("plate", "slack_mm-6", "900", "Check the unit"),
        ("plate", "x_mm-2", "", "Along, row 2 is missing"),
        ("plate", "place-4", "3", "stands there twice"),
        ("crack_joint", "thickness_mm", "3 m", "Thickness of that wood"),
        ("crack_joint", "repair", "nailed", "is not one of the choices"),
        ("climate_log", "whole_at_rh_pct", "50", "Correct one of the two"),
        ("climate_log", "day_first", "year", "is not one of the choices"),
    ],
)
def test_bad_input_is_refused_with_its_field_and_stays(post, gauge, cell, typed, says):
    words = samples.SAMPLES[gauge]() | {cell: typed}

    answer = post(words, gauge)

    assert answer.status_code == 422
    problems = re.sub(r"<[^>]+>", " ", answer.text.partition('class="problems"')[2][:900])
    assert says in problems
    if typed:
        sheet = sheet_of(gauge)
        key = cell.partition("-")[0]
        kept = next(one for one in (*sheet.cells, *sheet.columns) if one.key == key)
        assert kept.kind == "choice" or f'value="{typed}"' in answer.text
    assert not Reading.objects.exists()


def test_a_file_with_dates_that_can_be_read_two_ways_is_asked_about(post):
    rows = "".join(f"0{day}/04/2025 {hour}:00;5{day}\n" for day in (1, 2, 3) for hour in (10, 22))
    words = samples.climate() | {"csv": "Date;RH\n" + rows}

    asked = post(words, "climate_log")

    assert asked.status_code == 422
    assert "may be 2025-04-01 or 2025-01-04" in asked.text
    assert "01/04/2025 10:00;51" in asked.text
    for way in ("day", "month"):
        assert post(words | {"day_first": way}, "climate_log").status_code == 302
    assert Reading.objects.count() == 2


def a_log(days: range, rh: float = 50.0) -> str:
    start = dt.date(2023, 1, 1)
    rows = (f"{start + dt.timedelta(days=day)};{rh}" for day in days)
    return "\n".join(["Date;RH", *rows])


def test_a_record_with_a_hole_says_it_and_is_a_first_view():
    days = [*range(60), *range(340, 420)]
    rows = a_log(range(420)).split("\n")
    text = "\n".join([rows[0], *(rows[day + 1] for day in days)])

    said = told("climate_log", csv=text)

    assert said[-1].startswith("The record has holes: 139 of its 419 days are covered")
    assert "longest hole lasts 280 days" in said[-1]
    assert not any("less than the thirteen months" in line for line in said)


def test_air_that_did_harm_vouches_for_nothing_on_the_sheet():
    whole = told("climate_log", air_did_harm="harm", whole_at_rh_pct="48")
    unknown = told("climate_log", air_did_harm="harm")

    assert whole[0].endswith("The target lies about 48 %, where the wood was whole.")
    assert whole[1].startswith("Ask for 43 to 53 %")
    assert whole[2].startswith("On the owner’s sheets: 45 to 53 %")
    assert "is not known. The target is the cautious band" in unknown[0]
    assert unknown[1].startswith("Ask for 45 to 55 %")
    assert told("climate_log", air_did_harm="none")[0].startswith("Ask for")


def test_winter_and_summer_are_told_apart():
    rows = [
        f"{day};{60 if 4 <= day.month <= 9 else 46}"
        for day in (dt.date(2023, 1, 1) + dt.timedelta(days=n) for n in range(800))
    ]
    said = told("climate_log", csv="\n".join(["Date;RH", *rows]))

    assert said[1].startswith("In winter (October to March) 36 to 63 %, in summer 43 to 70 %")
    assert not any("first view" in line for line in said)
