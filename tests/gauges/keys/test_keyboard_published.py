"""Tangents: published places, temperaments and intervals, sharpening by pressing."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

from repairs.gauges.everything import gauges
from repairs.gauges.keys import keyboard, temperament
from repairs.gauges.keys.temperament import TEMPERAMENTS, ratio_cents
from tests.gauges.keys.asking import tangents

ROWS = json.loads(Path(__file__).with_name("published_keyboard.json").read_text("utf-8"))
NAMES = {
    "ET": "equal",
    "just(root)": "just",
    "pythagorean": "pythagorean",
    "meantone 1/4 comma (Eb..G#, C root)": "meantone",
    "Werckmeister III (C root)": "werckmeister_iii",
    "Kirnberger III (C root)": "kirnberger_iii",
}
NOTES = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"]


def _rows(subject):
    found = [r for r in ROWS if r["subject"] == subject]
    assert found
    return found


@pytest.mark.parametrize("row", _rows("keyboard.tangent.position345"))
def test_places_of_the_six_temperaments(row):
    asked = row["inputs"]

    (found,) = tangents(asked["L_mm"], NAMES[asked["temperament"]], [asked["semitone"]])

    tolerance = row["tolerance"]
    assert found["from_nut_mm"] == pytest.approx(row["expected"]["from_nut"], abs=tolerance)
    assert found["to_bridge_mm"] == pytest.approx(row["expected"]["to_bridge"], abs=tolerance)
    assert found["cents"] == pytest.approx(asked["cents"], abs=0.001)


@pytest.mark.parametrize("row", _rows("keyboard.fret.factor"))
def test_published_factors(row):
    (found,) = tangents(1000, "equal", [row["inputs"]["n"]])

    assert found["from_nut_mm"] / 1000 == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", _rows("keyboard.fret.table635"))
def test_published_table_for_635_mm(row):
    (found,) = tangents(635, "equal", [row["inputs"]["n"]])

    assert found["to_bridge_mm"] == pytest.approx(row["expected"], abs=row["tolerance"])


def test_first_place_by_the_rule():
    (row,) = _rows("keyboard.rule")

    (found,) = tangents(row["inputs"]["L_mm"], "equal", 1)

    assert found["from_nut_mm"] == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", _rows("keyboard.tangent.error"))
def test_cents_of_a_misplaced_tangent(row):
    asked = row["inputs"]
    left = keyboard.to_bridge_mm(asked["L_mm"], 100.0 * asked["n"])

    found = keyboard.place_error_cents(left, asked["d_mm"])

    assert found == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", _rows("temperament.cents.dev_from_ET_A0"))
def test_published_deviations_from_equal(row):
    scale = TEMPERAMENTS[NAMES[row["inputs"]["temperament"]]]
    n = NOTES.index(row["inputs"]["note"])

    deviation = scale.at(n) - 100 * n - (scale.at(9) - 900)

    assert deviation == pytest.approx(row["expected"], abs=row["tolerance"]), row["source"]


@pytest.mark.parametrize("row", _rows("temperament.werckmeisterIII"))
def test_published_werckmeister(row):
    found = TEMPERAMENTS["werckmeister_iii"].at(NOTES.index(row["inputs"]["note"]))

    assert found == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", _rows("temperament.interval"))
def test_published_intervals(row):
    found = ratio_cents(Fraction(row["inputs"]["ratio"].replace(":", "/")))

    assert found == pytest.approx(row["expected"], abs=row["tolerance"])


def test_commas():
    pythagorean, syntonic = (r["expected"] for r in _rows("temperament.constant"))

    assert pytest.approx(pythagorean, abs=1e-6) == temperament.PYTHAGOREAN_COMMA
    assert pytest.approx(syntonic, abs=1e-6) == temperament.SYNTONIC_COMMA


@pytest.mark.parametrize("row", _rows("tangent.sharpening"))
def test_sharpening_by_pressing(row):
    asked = row["inputs"]

    answer = gauges()["sharpening"].run(
        {
            "tension_n": asked["T_N"],
            "youngs_gpa": asked["E_Pa"] / 1e9,
            "diameter_mm": asked["d_mm"],
            "total_mm": asked["Ltot_mm"],
            "length_mm": asked["L_mm"],
            "from_nut_mm": asked["x_from_nut_mm"],
            "push_mm": asked["y_push_mm"],
        }
    )

    assert answer["sharpening_cents"] == pytest.approx(row["expected"], abs=row["tolerance"])
    assert answer["u_sharpening_cents"] > 0


def test_every_published_subject_is_tested():
    tested = {
        "keyboard.tangent.position345",
        "keyboard.fret.factor",
        "keyboard.fret.table635",
        "keyboard.rule",
        "keyboard.tangent.error",
        "temperament.cents.dev_from_ET_A0",
        "temperament.werckmeisterIII",
        "temperament.interval",
        "temperament.constant",
        "tangent.sharpening",
    }

    assert {r["subject"] for r in ROWS} == tested
