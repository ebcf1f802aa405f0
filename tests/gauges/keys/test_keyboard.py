"""Tangents: places and temperaments, there and back, and refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.keys import keyboard, temperament
from repairs.gauges.keys.temperament import TEMPERAMENTS
from tests.gauges.keys.asking import tangents


def test_second_octave_halves_the_rest():
    first, second = tangents(345, "just", [7, 19])

    assert second["to_bridge_mm"] == pytest.approx(first["to_bridge_mm"] / 2)
    assert second["from_last_mm"] == pytest.approx(second["from_nut_mm"] - first["from_nut_mm"])


@pytest.mark.parametrize("count", [19, 23, 24])
def test_a_number_of_keys_is_the_steps_from_one(count):
    assert [k["key"] for k in tangents(345, "equal", count)] == list(range(1, count + 1))


def test_a_g_string_in_a_scale_on_c():
    keys = tangents(345, "werckmeister_iii", [5, 12], open_step=7)

    # From the published table: C is 11.73 and G 7.82 cents above equal, so G to c is 503.91.
    assert keys[0]["cents"] == pytest.approx(503.91, abs=0.001)
    assert keys[1]["cents"] == pytest.approx(1200.0)


@pytest.mark.parametrize("name", ["Werckmeister III", "werckmeister-iii", "werckmeister 3"])
def test_a_temperament_by_another_spelling(name):
    assert tangents(345, name, 12) == tangents(345, "werckmeister_iii", 12)


@settings(deadline=None, max_examples=80, derandomize=True)
@given(st.floats(200, 700), st.floats(1, 4000))
def test_place_and_cents_are_inverse(length, cents):
    place = keyboard.from_nut_mm(length, cents)

    assert keyboard.cents_at_mm(length, place) == pytest.approx(cents, abs=1e-7)
    assert 0 < place < length


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.sampled_from(sorted(TEMPERAMENTS)), st.integers(-30, 60))
def test_scales_repeat_at_the_octave(name, step):
    scale = TEMPERAMENTS[name]

    assert scale.at(step + 12) == pytest.approx(scale.at(step) + 1200)
    assert scale.at(step) < scale.at(step + 1)


def test_cents_per_mm_is_the_slope():
    (key,) = tangents(345, "equal", [24])

    shifted = keyboard.cents_at_mm(345, key["from_nut_mm"] + 1e-4) - key["cents"]
    assert key["cents_per_mm"] == pytest.approx(shifted / 1e-4, rel=1e-4)


# --- refusals and golden figures -------------------------------------------------------------


BASE = {"length_mm": 345, "temperament": "equal", "keys": 23}
BAD = [
    ({**BASE, "length_mm": 10_000}, "length_mm", None, "Check the unit"),
    ({**BASE, "length_mm": 0}, "length_mm", None, "more than 0"),
    ({**BASE, "length_mm": "long"}, "length_mm", None, "not a number"),
    ({**BASE, "temperament": "equall"}, "temperament", None, "werckmeister_iii"),
    ({**BASE, "temperament": None}, "temperament", None, "missing"),
    ({**BASE, "keys": 0}, "keys", None, "not possible"),
    ({**BASE, "keys": 12.5}, "keys", None, "whole number"),
    ({**BASE, "keys": []}, "keys", None, "at least 1"),
    ({**BASE, "keys": [1, 2, 2]}, "keys", 3, "twice"),
    ({**BASE, "keys": [1, 5, 3]}, "keys", 3, "does not rise above 5"),
    ({**BASE, "keys": [1, "x"]}, "keys", 2, "not a number"),
    ({**BASE, "keys": "many"}, "keys", None, "not a number"),
    ({**BASE, "keys": 60}, "temperament (cents)", 49, "Check the unit"),
    ({**BASE, "open_step": 40}, "open_step", None, "not possible"),
    ({**BASE, "Keys": 3}, "input", None, "Known are"),
]


@pytest.mark.parametrize(("asked", "field", "row", "words"), BAD)
def test_bad_input_is_refused_with_field_row_and_mend(asked, field, row, words):
    with pytest.raises(GaugeInputError) as refusal:
        gauges()["tangents"].run(asked)

    assert words in str(refusal.value)
    assert (refusal.value.field, refusal.value.row) == (field, row)


def test_pressing_beyond_the_bridge_is_refused():
    asked = {
        "tension_n": 66.3,
        "diameter_mm": 0.8,
        "material": "gut",
        "length_mm": 345,
        "total_mm": 480,
        "from_nut_mm": 345,
        "push_mm": 1.5,
    }
    with pytest.raises(GaugeInputError, match="from_nut_mm"):
        gauges()["sharpening"].run(asked)
    with pytest.raises(GaugeInputError, match="total_mm"):
        gauges()["sharpening"].run({**asked, "from_nut_mm": 100, "total_mm": 300})


def test_pressing_by_nothing_sharpens_by_nothing():
    answer = gauges()["sharpening"].run(
        {
            "tension_n": 66.3,
            "diameter_mm": 0.8,
            "material": "gut",
            "length_mm": 345,
            "total_mm": 480,
            "from_nut_mm": 100,
            "push_mm": 0,
        }
    )

    assert answer["sharpening_cents"] == pytest.approx(0.0, abs=1e-9)


def test_golden_figures():
    """When this fails, the figures changed: put VERSION up, and then these."""
    keys = tangents(345, "kirnberger_iii", 23)
    press = gauges()["sharpening"].run(
        {
            "tension_n": 66.3,
            "diameter_mm": 0.8,
            "material": "gut",
            "length_mm": 345,
            "total_mm": 480,
            "from_nut_mm": 100,
            "push_mm": 1.5,
        }
    )

    assert keyboard.VERSION == "keyboard 1"
    assert temperament.VERSION == "temperament 1"
    found = [
        float(np.sum([k["from_nut_mm"] for k in keys])),
        keys[22]["from_nut_mm"],
        keys[22]["u_from_nut_mm"],
        keys[6]["cents_per_mm"],
        press["sharpening_cents"],
        press["u_sharpening_cents"],
    ]
    assert [float(f"{one:.9g}") for one in found] == GOLDEN


GOLDEN = [3651.46308, 253.0, 0.366666667, 7.50376442, 1.29853407, 0.279191649]
