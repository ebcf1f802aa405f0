"""Force of the wheel on a string: published values, a free body, and its uncertainty."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel import force as wheel_force
from tests.gauges.wheel.wheel_shapes import published

STRING = {"tension_n": 66.3, "length_mm": 345, "from_bridge_mm": 25, "lift_mm": 1.0}


@pytest.mark.parametrize("row", published("string.wheel.force"))
def test_published_forces(row):
    of = row["inputs"]

    found = wheel_force.run(
        {
            "tension_n": of["T_N"],
            "length_mm": of["L_mm"],
            "from_bridge_mm": of["a_mm"],
            "lift_mm": of["h_mm"],
        }
    )

    assert found["force_n"] == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("wheel.speed"))
def test_published_speeds_of_the_rim(row):
    of = row["inputs"]

    found = wheel_force.run({**STRING, "diameter_mm": of["D_mm"], "turns_per_min": of["rpm"]})

    assert found["rim_speed_m_s"] == pytest.approx(row["expected"]["v_m_s"], abs=row["tolerance"])
    assert found["pulse_hz"] == row["expected"]["f_Hz"]


@pytest.mark.parametrize("row", published("runout.force.ripple"))
def test_published_swelling(row):
    of = row["inputs"]

    found = wheel_force.run({**STRING, "lift_mm": of["h_mm"], "ecc_mm": of["e_mm"]})

    assert found["swelling_pct"] == pytest.approx(row["expected"], abs=row["tolerance"])


def test_a_string_lifted_to_a_right_angle_pushes_back_with_both_its_pulls():
    """Hand-worked: 45° on either side, so each half carries T/√2 downwards."""
    found = wheel_force.StringOnWheel(10, 200, 100, 100)

    assert found.force_n() == pytest.approx(2 * 10 / math.sqrt(2))


def test_half_the_lift_is_half_the_force_while_it_is_small():
    string = wheel_force.StringOnWheel(66.3, 345, 25, 1.0)

    assert string.force_n(0.52) == pytest.approx(1.49, abs=0.005)
    assert string.force_n(-0.1) == 0


@settings(deadline=None, max_examples=100, derandomize=True)
@given(
    st.floats(1, 200), st.floats(200, 600), st.floats(0.05, 0.95), st.floats(0, 5), st.floats(0, 5)
)
def test_force_grows_with_lift_and_never_beyond_the_small_angle(tension, length, part, one, two):
    low, high = sorted((one, two))
    string = wheel_force.StringOnWheel(tension, length, part * length, high)

    assert string.force_n(low) <= string.force_n(high) * (1 + 1e-12)
    assert string.force_n() <= string.force_small_angle_n() * (1 + 1e-12)
    assert string.force_n() <= 2 * tension


def test_the_doubt_of_each_input_is_carried_on():
    found = wheel_force.run({**STRING, "u_tension_n": 6.63, "u_lift_mm": 0.1})

    assert found["u_force_n"] == pytest.approx(found["force_n"] * math.hypot(0.1, 0.1), rel=0.01)
    assert wheel_force.run(STRING)["u_force_n"] is None


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"tension_n": 0}, "tension_n is 0; it must be more than 0"),
        ({"tension_n": "taut"}, "tension_n is 'taut', which is not a number"),
        ({"length_mm": 10_000}, "length_mm is 10000; more than 1000 is not possible"),
        ({"from_bridge_mm": 400}, "from_bridge_mm is 400; more than 344"),
        ({"from_bridge_mm": 345}, "from_bridge_mm is 345; more than 344"),
        ({"lift_mm": -1}, "lift_mm is -1; less than 0"),
        ({"lift_mm": 0, "ecc_mm": 0.1}, "lift_mm is 0; it must be more than 0"),
        ({"turns_per_min": 60}, "diameter_mm is missing"),
        ({"u_lift_mm": 0.9}, "u_lift_mm is 0.9; more than 0.333333"),
        ({"lift": 1}, "input is lift, which is not known"),
    ],
)
def test_bad_input_is_refused_with_a_sentence(change, sentence):
    with pytest.raises(GaugeInputError, match=sentence):
        wheel_force.run({**STRING, **change})


def test_figures_change_only_with_the_version():
    found = wheel_force.run({**STRING, "ecc_mm": 0.05, "u_lift_mm": 0.05, "u_tension_n": 1.0})

    golden = {
        "wheel_force 1": {
            "force_n": 2.85706743,
            "force_small_angle_n": 2.85918750,
            "u_force_n": 0.1490088587,
            "swelling_pct": 5.0,
        }
    }
    kept = golden[wheel_force.VERSION]
    assert {name: found[name] for name in kept} == pytest.approx(kept, rel=1e-8)
