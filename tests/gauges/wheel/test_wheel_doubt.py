"""The wheel gauge: how sure its figures are, and what stands beside the contract."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from repairs.gauges.everything import gauges
from repairs.gauges.wheel import circles, result
from repairs.gauges.wheel import gauge as wheel
from repairs.gauges.wheel.fit import chi_square
from tests.gauges.wheel.wheel_shapes import both, off_axle, oval, turn, wrong_by_deg


@pytest.mark.parametrize(("count", "gaps"), [(12, 0), (12, 2), (16, 4), (24, 5)])
def test_the_uncertainty_covers_what_it_says(count, gaps):
    rng = np.random.default_rng(count + gaps)
    hits = {"ecc_mm": 0, "high_spot_deg": 0, "oval_amp_mm": 0}
    for _trial in range(300):
        high, high2, high5 = rng.uniform(0, 2 * math.pi, 3)
        t = 2 * np.pi * np.arange(count) / count
        r = 0.1 * np.cos(t - high) + 0.03 * np.cos(2 * (t - high2)) + 0.006 * np.cos(5 * t - high5)
        readings: list[float | None] = list(r + rng.normal(0, 0.005, count))
        for place in rng.choice(count, gaps, replace=False):
            readings[place] = None
        found = wheel.run(
            {"readings_mm": readings, "mean_diameter_mm": 170, "gauge_sigma_mm": 0.005}
        )
        hits["ecc_mm"] += abs(found["ecc_mm"] - 0.1) <= 2 * found["u_ecc_mm"]
        hits["oval_amp_mm"] += abs(found["oval_amp_mm"] - 0.03) <= 2 * found["u_oval_amp_mm"]
        wrong = wrong_by_deg(found["high_spot_deg"], math.degrees(high))
        hits["high_spot_deg"] += wrong <= 2 * found["u_high_spot_deg"]

    assert min(hits.values()) >= 0.91 * 300, hits


def test_the_uncertainty_of_sizes_is_the_scatter_of_repeated_turns():
    rng = np.random.default_rng(8)
    names = ["tir_mm", "lsc_roundness_mm", "mz_roundness_mm", "recentred_diameter_left_mm"]
    repeated, stated = [], []
    for _turn in range(300):
        case = turn(lambda t: 3 * both(t) + rng.normal(0, 0.005), count=16, u_mean_diameter_mm=0)
        found = wheel.run(case)
        repeated.append([found[name] for name in names])
        stated.append([found[f"u_{name}"] for name in names])

    assert np.mean(stated, axis=0) == pytest.approx(np.std(repeated, axis=0), rel=0.25)


def test_an_angle_below_its_doubt_is_not_given():
    found = wheel.run(turn(lambda t: oval(t) + 0.001 * math.cos(t)))

    assert found["high_spot_deg"] is None
    assert found["lsc_high_spot_deg"] is None
    assert found["u_high_spot_deg"] is None
    assert "angle_not_sure" in found["warnings"]


def test_more_noise_than_stated_widens_every_figure():
    rng = np.random.default_rng(4)

    found = [
        wheel.run(turn(lambda t: both(t) + rng.normal(0, 0.03), count=36)) for _turn in range(30)
    ]

    assert all("more_than_noise_left" in one["warnings"] for one in found)
    assert np.mean([one["noise_mm"] for one in found]) == pytest.approx(0.03, rel=0.1)
    for one in found:
        assert one["u_ecc_mm"] >= one["noise_mm"] * math.sqrt(2 / 36) * (1 - 1e-12)


def test_the_quantile_of_wilson_and_hilferty_is_close():
    from scipy.stats import chi2  # noqa: PLC0415 - one second that the other tests need not pay

    for freedom in (3, 5, 10, 30):
        assert chi_square(freedom, 1.645) == pytest.approx(chi2.ppf(0.95, freedom), rel=0.01)
        assert chi_square(freedom, 3.090) == pytest.approx(chi2.ppf(0.999, freedom), rel=0.02)


@pytest.mark.parametrize(
    ("case", "code", "action"),
    [
        (turn(off_axle, count=8), "too_few_places", "recentre"),
        (turn(off_axle, gauge_sigma_mm=None), "noise_assumed", "recentre"),
        (turn(off_axle, gauge_sigma_mm=0.06), "noise_too_big", "not_judged"),
        (turn(lambda t: 3 * off_axle(t)), "large_eccentricity", "recentre"),
    ],
)
def test_what_makes_figures_less_sure_is_said(case, code, action):
    found = wheel.run(case)

    assert code in found["warnings"]
    assert found["action"] == action


def gappy(kept, count=24):
    case = turn(off_axle, count=count)
    case["readings_mm"] = [
        value if place in kept else None for place, value in enumerate(case["readings_mm"])
    ]
    return case


def test_many_gaps_are_said_and_a_wide_one_is_not_judged():
    scattered = wheel.run(gappy(set(range(0, 24, 2))))
    third = wheel.run(gappy(set(range(15))))

    assert "many_gaps" in scattered["warnings"]
    assert scattered["action"] == "recentre"
    assert {"many_gaps", "wide_gap"} <= set(third["warnings"])
    assert third["action"] == "not_judged"
    assert third["ecc_mm"] == pytest.approx(0.1)


def test_half_a_turn_has_no_inscribed_circle():
    found = wheel.run(gappy(set(range(12))))

    assert found["recentred_diameter_left_mm"] is None
    assert {"no_inscribed_circle", "wide_gap"} <= set(found["warnings"])
    assert found["action"] == "not_judged"


def test_few_readings_left_carry_fewer_harmonics():
    found = wheel.run(gappy({0, 5, 10, 14, 19}))

    assert found["oval_amp_mm"] is None
    assert {"fewer_harmonics", "too_few_places"} <= set(found["warnings"])
    assert found["action"] == "not_judged"


# ---- beside the contract


def test_the_plane_stands_beside_the_limacon_where_they_part():
    case = turn(lambda t: 20 * off_axle(t) + oval(t), count=24)
    r = np.array(case["readings_mm"])
    radii, theta = 85 + r - r.mean(), np.radians(case["angles_deg"])
    x, y = radii * np.cos(theta), radii * np.sin(theta)

    found = wheel.run(case)

    assert found["plane_mz_roundness_mm"] == circles.zone_circle(x, y).roundness
    plane, limacon = found["plane_recentred_diameter_left_mm"], found["recentred_diameter_left_mm"]
    assert abs(plane - limacon) < 2**2 / 85
    assert abs(plane - limacon) > 0.001
    assert found["u_recentred_diameter_left_mm"] > 0.02
    assert wheel.run(turn(off_axle))["plane_mz_roundness_mm"] is None


def test_all_four_circles_stand_in_their_order():
    found = wheel.run(turn(both))

    assert found["mz_roundness_mm"] <= found["read_lsc_roundness_mm"]
    assert found["mz_roundness_mm"] <= min(found["mic_roundness_mm"], found["mcc_roundness_mm"])
    assert found["mic_diameter_mm"] < 170 < found["mcc_diameter_mm"]
    assert found["lsc_peak_mm"] + found["lsc_valley_mm"] == found["read_lsc_roundness_mm"]


def test_side_readings_give_wobble_and_tilt():
    side: list[float | None] = [
        0.2 * math.cos(math.radians(15 * place - 90)) for place in range(24)
    ]
    side[3] = None

    found = wheel.run(turn(off_axle, axial_mm=side))

    assert found["axial_runout_mm"] == pytest.approx(0.4)
    assert found["axial_wobble_mm"] == pytest.approx(0.2)
    assert found["axial_high_spot_deg"] == pytest.approx(90)
    assert found["axial_tilt_deg"] == pytest.approx(math.degrees(0.2 / 85), rel=1e-4)
    assert wheel.run(turn(off_axle))["axial_runout_mm"] is None


def test_the_answer_survives_json_and_names_its_version():
    found = wheel.run(turn(both, strings=[], axial_mm=[0.1, 0.2] * 12))

    assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert found["version"] == result.VERSION == gauges()["wheel"].version
