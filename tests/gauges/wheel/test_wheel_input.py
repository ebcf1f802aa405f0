"""The wheel gauge: the same wheel typed otherwise, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel import gauge as wheel
from tests.gauges.wheel import wheel_reference
from tests.gauges.wheel.wheel_shapes import both, turn, wrong_by_deg

SHARED = ("tir_mm", "ecc_mm", "oval_amp_mm", "lsc_roundness_mm", "mz_roundness_mm", "action")

wheels = st.integers(0, 10_000).map(wheel_reference.case)


@settings(deadline=None, max_examples=40, derandomize=True)
@given(wheels, st.floats(-200, 200), st.floats(-5, 5), st.randoms())
def test_start_sign_zero_and_order_change_nothing(case, start, zero, chance):
    pairs = list(zip(case["angles_deg"], case["readings_mm"], strict=True))
    chance.shuffle(pairs)
    other = {
        **case,
        "angles_deg": [angle for angle, _ in pairs],
        "readings_mm": [None if value is None else zero - value for _, value in pairs],
        "sign": -case["sign"],
        "start_deg": start,
    }

    one, two = wheel.run(case), wheel.run(other)

    assert two["mic_diameter_mm"] == pytest.approx(one["mic_diameter_mm"], abs=1e-9)
    for name in SHARED:
        assert two[name] == pytest.approx(one[name], abs=1e-9)
    if one["high_spot_deg"] is not None and two["high_spot_deg"] is not None:
        assert wrong_by_deg(two["high_spot_deg"], one["high_spot_deg"] + start) < 1e-6


@settings(deadline=None, max_examples=30, derandomize=True)
@given(wheels, st.floats(0.1, 3))
def test_a_larger_run_out_scales_every_length(case, factor):
    other = {
        **case,
        "readings_mm": [v if v is None else v * factor for v in case["readings_mm"]],
        "gauge_sigma_mm": case["gauge_sigma_mm"] * factor,
    }

    one, two = wheel.run(case), wheel.run(other)

    names = ("read_tir_mm", "ecc_mm", "u_ecc_mm", "mz_roundness_mm", "u_mz_roundness_mm")
    resolved = ("tir_mm", "u_tir_mm", "lsc_roundness_mm", "u_lsc_roundness_mm")
    for name in names:
        assert two[name] == pytest.approx(factor * one[name], rel=1e-6, abs=1e-12)
    # What is drawn is looked at in single precision.
    for name in () if one["tir_mm"] is None else resolved:
        assert two[name] == pytest.approx(factor * one[name], rel=1e-5)


def test_even_steps_need_no_angles():
    case = turn(both, start_deg=15)
    even = {name: value for name, value in case.items() if name != "angles_deg"}

    assert wheel.run(even) == wheel.run(case)


# ---- what is refused


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"readings_mm": None}, "readings_mm is missing"),
        ({"readings_mm": [0.1] * 7}, "readings_mm has 7 values and needs at least 8"),
        ({"readings_mm": [0.1] * 73}, "more than 72 cannot be used"),
        ({"readings_mm": ["0.1"] * 23 + ["o.2"]}, r"readings_mm \(row 24\) is 'o.2', which is not"),
        ({"readings_mm": [0.1] * 23 + [math.nan]}, r"readings_mm \(row 24\) is nan, which is not"),
        ({"readings_mm": [0.1] * 23 + [True]}, r"readings_mm \(row 24\) is True"),
        ({"readings_mm": [0.1] * 24}, "All values of readings_mm are 0.1: was the gauge touching"),
        ({"readings_mm": [0.1] * 23 + [270]}, r"readings_mm \(row 24\) is 270; more than 30"),
        ({"readings_mm": [0.1] * 23 + [8]}, "The range of readings_mm is 7.9; more than 5"),
        ({"readings_mm": [None] * 21 + [1, 2, 3]}, "readings_mm has 3 values and needs at least 4"),
        ({"angles_deg": [0, 15]}, "angles_deg has 2 values and needs at least 8"),
        (
            {"angles_deg": list(range(0, 230, 10))},
            "angles_deg has 23 values and readings_mm has 24",
        ),
        ({"angles_deg": [*range(0, 345, 15), 360]}, r"angles_deg \(row 24\) is 360, which stands"),
        ({"angles_deg": [*range(0, 345, 15), 3450]}, r"angles_deg \(row 24\) is 3450; more than"),
        ({"angles_deg": [*range(0, 345, 15), None]}, r"angles_deg is missing \(row 24\)"),
        ({"mean_diameter_mm": 2000}, "mean_diameter_mm is 2000; more than 300 is not possible"),
        ({"mean_diameter_mm": -170}, "mean_diameter_mm is -170; less than 50"),
        ({"mean_diameter_mm": None}, "mean_diameter_mm is missing"),
        ({"gauge_sigma_mm": 0}, "gauge_sigma_mm is 0; it must be more than 0"),
        ({"gauge_sigma_mm": 5}, "gauge_sigma_mm is 5; more than 0.1"),
        ({"sign": 2}, "sign is 2, which is not known. Known are: 1, -1"),
        ({"axial_mm": [0.1, 0.2] * 6}, "axial_mm has 12 values and readings_mm has 24"),
        ({"rim": "new"}, "rim is new, which is not known"),
        ({"diameter": 170}, "input is diameter, which is not known"),
        (
            {"strings": [{"tension_n": 60, "length_mm": 345}]},
            r"from_bridge_mm is missing \(row 1\)",
        ),
        ({"strings": "chanterelle"}, "strings is missing"),
        ({"strings": [{"lift": 1}]}, r"strings \(row 1\) is lift, which is not known"),
        ({"lift_mm": -1}, "lift_mm is -1; it must be more than 0"),
    ],
)
def test_what_cannot_be_measured_is_refused_with_a_sentence(change, sentence):
    with pytest.raises(GaugeInputError, match=sentence):
        wheel.run({**turn(both), **change})
