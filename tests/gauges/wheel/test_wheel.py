"""The wheel gauge: known wheels, wheels made by other ways, what to do, and figures kept."""

from __future__ import annotations

import json
import math

import pytest

from repairs.gauges.wheel import gauge as wheel
from repairs.gauges.wheel import result
from tests.gauges.wheel import wheel_reference
from tests.gauges.wheel.wheel_shapes import (
    CASES,
    HERE,
    both,
    off_axle,
    oval,
    published,
    turn,
    wrong_by_deg,
)

ACTIONS = {
    "ecc": "recentre",
    "form": "return",
    "both": "return",
    "good": "leave",
}
ALL_DONE = {"cleaned": True, "acclimatised": True, "recentred": True, "leave": True}


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['id']}-{case['kind']}")
def test_the_twelve_wheels(case):
    wanted = case["expected"]
    joint, plain = wanted["joint_fit_H3"], wanted["lsc_fit"]

    found = wheel.run(case | ALL_DONE)

    figures = {
        "read_tir_mm": wanted["tir_mm"],
        "ecc_mm": joint["ecc_mm"],
        "oval_amp_mm": joint["oval_amp_mm"],
        "lsc_ecc_mm": plain["ecc_mm"],
        "read_lsc_roundness_mm": wanted["lsc_roundness_mm"],
        "mz_roundness_mm": wanted["mz_roundness_mm"],
        "diameter_left_mm": wanted["turn_on_present_axle"]["diameter_left_mm"],
        "recentred_diameter_left_mm": wanted["recentre_then_turn"]["diameter_left_mm"],
        "n": wanted["n"],
    }
    assert {name: found[name] for name in figures} == pytest.approx(figures, abs=1e-6)
    assert found["lobes"][0]["amp_mm"] == pytest.approx(joint["h3_amp_mm"], abs=1e-6)
    for name, angle in (("", joint["high_spot_deg"]), ("lsc_", plain["high_spot_deg"])):
        if found[f"{name}ecc_mm"] < 2 * found[f"u_{name}ecc_mm"]:
            assert found[f"{name}high_spot_deg"] is None
        else:
            assert wrong_by_deg(found[f"{name}high_spot_deg"], angle) < 0.001
    if plain["u_ecc_mm_complete_ring"]:
        assert found["u_ecc_mm"] == pytest.approx(plain["u_ecc_mm_complete_ring"], abs=1e-6)
    assert found["action"] == ACTIONS[case["kind"]]


@pytest.mark.parametrize("seed", range(1000, 1060))
def test_wheels_made_by_other_ways(seed):
    case = wheel_reference.case(seed)
    wanted = wheel_reference.answers(case)

    found = wheel.run(case)

    assert found["action"] == wanted.pop("action")
    for name in ("high_spot_deg", "lsc_high_spot_deg"):
        angle = wanted.pop(name)
        assert found[name] is None or wrong_by_deg(found[name], angle) < 0.001
    assert {name: found[name] for name in wanted} == pytest.approx(wanted, abs=1e-6)


def test_the_polar_readings_of_the_trade_page():
    (row,) = published("roundness.wheel.polar12")
    wanted = row["expected"]

    found = wheel.run(
        {
            "angles_deg": row["inputs"]["angles_deg"],
            "readings_mm": [value / 1000 for value in row["inputs"]["readings_um"]],
            "mean_diameter_mm": 170,
            "gauge_sigma_mm": 0.001,
        }
    )

    assert {
        "TIR": found["read_tir_mm"] * 1000,
        "eccentricity": found["ecc_mm"] * 1000,
        "RONt_LSCI": found["read_lsc_roundness_mm"] * 1000,
        "c2": found["oval_amp_mm"] * 1000,
        "c3": found["lobes"][0]["amp_mm"] * 1000,
    } == pytest.approx(
        {name: wanted[name] for name in ("TIR", "eccentricity", "RONt_LSCI", "c2", "c3")},
        abs=row["tolerance"],
    )
    assert found["high_spot_deg"] == pytest.approx(wanted["ecc_angle_deg"], abs=0.005)


@pytest.mark.parametrize("row", published("roundness.harmonics"))
def test_constructed_harmonics(row):
    of = {name: value / 1000 for name, value in row["inputs"].items() if name.endswith("_um")}
    k = row["inputs"]["k"]
    p, q = (math.radians(row["inputs"][name]) for name in ("p_deg", "q_deg"))

    found = wheel.run(
        turn(lambda t: of["e_um"] * math.cos(t - p) + of["A_um"] * math.cos(k * (t - q)))
    )

    wanted, within = row["expected"], row["tolerance"]
    lobes = {lobe["order"]: lobe["amp_mm"] for lobe in found["lobes"]}
    amps = {1: found["ecc_mm"], 2: found["oval_amp_mm"], **lobes}
    assert 1000 * amps[1] == pytest.approx(wanted["c1"], abs=within)
    assert 1000 * amps[k] == pytest.approx(wanted[f"c{k}"], abs=within)
    assert 1000 * found["read_tir_mm"] == pytest.approx(wanted["TIR"], abs=within)
    assert 1000 * found["read_lsc_roundness_mm"] == pytest.approx(wanted["RONt_LSCI"], abs=within)
    if wanted["c1_phase"] is None:
        assert found["high_spot_deg"] is None
    else:
        assert found["high_spot_deg"] == pytest.approx(wanted["c1_phase"], abs=0.001)


def test_a_round_wheel_off_its_axle_runs_out_twice_as_much():
    (row,) = published("runout.eccentricity")
    e = row["inputs"]["e_mm"]

    found = wheel.run(turn(lambda t: e * math.cos(t)))

    assert found["read_tir_mm"] == pytest.approx(row["expected"], abs=row["tolerance"])
    assert found["tir_mm"] == pytest.approx(row["expected"], abs=found["u_tir_mm"] / 5)


# ---- what to do


def test_a_wheel_off_its_axle_is_tapped_at_its_high_spot_and_shimmed_opposite():
    found = wheel.run(turn(off_axle))["prescription"]

    assert found["action"] == "recentre"
    assert found["recentre"] == pytest.approx(
        {
            "shift_mm": 0.1,
            "u_shift_mm": 0.005 * math.sqrt(2 / 24),
            "tap_at_deg": 60,
            "shim_at_deg": 240,
            "u_angle_deg": math.degrees(0.05 * math.sqrt(2 / 24)),
        }
    )
    assert found["turn"] is None
    assert not found["irreversible"]
    assert "turn_rim" not in found["steps"]


def test_an_oval_rim_is_turned_only_after_everything_that_can_be_undone():
    as_found = wheel.run(turn(oval, rim="original"))["prescription"]
    cleaned = {**ALL_DONE, "leave": False}
    asked = wheel.run(turn(oval, rim="original", **cleaned))["prescription"]
    allowed = wheel.run(turn(oval, rim="original", **ALL_DONE))["prescription"]

    assert as_found["action"] == "prepare"
    assert as_found["steps"] == [
        "clean_rim_and_rosin_again",
        "acclimatise",
        "measure_again",
        "check_seat_and_bearing",
        "measure_again",
    ]
    assert (as_found["turn"], as_found["irreversible"]) == (None, False)
    assert as_found["consent_of_its_own"]
    assert (asked["action"], asked["turn"]) == ("ask_leave", None)
    assert allowed["action"] == "return"
    assert allowed["turn"]["depth_mm"] == pytest.approx(0.2, abs=0.001)
    assert allowed["turn"]["diameter_left_mm"] == pytest.approx(169.8)
    assert allowed["irreversible"] and allowed["consent_of_its_own"]
    # Permission before all; the profile as found is the only record.
    assert allowed["steps"][:3] == ["consent_to_turning", "record_profile_as_found", "turn_rim"]
    assert allowed["steps"][-1] == "set_every_pressure_again"


def test_a_rim_that_was_put_on_later_needs_no_consent_of_its_own():
    done = {**ALL_DONE, "leave": False}
    found = wheel.run(turn(oval, rim="later_replacement", **done))["prescription"]

    assert found["irreversible"] and not found["consent_of_its_own"]


def test_seating_comes_before_cutting():
    found = wheel.run(turn(both))["prescription"]

    assert found["action"] == "prepare"
    assert found["recentre"]["shift_mm"] == pytest.approx(0.1)
    assert found["steps"] == [
        "clean_rim_and_rosin_again",
        "acclimatise",
        "measure_again",
        "reseat_or_shim",
        "measure_again",
    ]
    cleaned = wheel.run(turn(both, cleaned=True, acclimatised=True))["prescription"]
    assert cleaned["steps"] == ["reseat_or_shim", "measure_again"]


def test_a_good_wheel_is_left_alone():
    found = wheel.run(turn(lambda t: 0.008 * math.cos(t)))["prescription"]

    assert (found["action"], found["need"], found["steps"]) == ("leave", "good", [])


def test_cutting_takes_the_lift_of_every_string():
    string = {"tension_n": 66.3, "length_mm": 345, "from_bridge_mm": 25, "lift_mm": 1.0}
    lifts = [{**string, "name": "chanterelle"}, {**string, "lift_mm": 0.45}]

    case = turn(lambda t: 4.8 * oval(t), strings=lifts, lift_mm=1.0, **ALL_DONE)
    found = wheel.run(case)

    chanterelle, low = found["prescription"]["strings"]
    assert found["prescription"]["turn"]["lift_lost_mm"] == pytest.approx(0.48)
    assert found["lift_after_mm"] == pytest.approx(0.52)
    assert chanterelle["force_n"] == pytest.approx(2.86, abs=0.005)
    assert chanterelle["force_after_n"] == pytest.approx(1.49, abs=0.005)
    assert chanterelle["touches"]
    assert (low["name"], low["touches"], low["force_after_n"]) == ("2", False, 0)


@pytest.mark.parametrize("row", published("runout.force.ripple"))
def test_the_force_swells_with_the_eccentricity(row):
    e, h = row["inputs"]["e_mm"], row["inputs"]["h_mm"]

    found = wheel.run(turn(lambda t: e * math.cos(t), lift_mm=h))

    assert found["swelling_pct"] == pytest.approx(row["expected"], abs=row["tolerance"])
    assert found["u_swelling_pct"] == pytest.approx(100 * found["u_ecc_mm"] / h)


def test_the_house_may_set_its_own_threshold():
    case = turn(lambda t: 0.02 * math.cos(t))

    assert wheel.run(case)["action"] == "recentre"
    mine = wheel.run({**case, "leave_tir_mm": 0.05})
    assert mine["action"] == "leave"
    assert mine["prescription"]["rule"]["source"] == "set by the house"


# ---- figures change only with the version


def test_figures_change_only_with_the_version():
    golden = json.loads((HERE / "golden_wheel.json").read_text("utf-8"))
    cases = [CASES[3], {**CASES[9], "lift_mm": 1.2}, CASES[6]]

    found = [figures(wheel.run(case)) for case in cases]

    assert golden["version"] == result.VERSION, "write the figures of the new version"
    for one, kept in zip(found, golden["figures"], strict=True):
        assert one == pytest.approx(kept, rel=1e-8, abs=1e-12)


def figures(answer):
    """All numbers of an answer to nine digits."""
    return {
        name: float(f"{value:.9g}") for name, value in answer.items() if isinstance(value, float)
    }
