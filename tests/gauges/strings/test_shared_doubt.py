"""What the strings of a set share adds up: against a simulation, and worked by hand."""

import math

import numpy as np
import pytest

from repairs.gauges.everything import gauges
from repairs.gauges.strings.shared import u_of_sum

SET = [
    {"name": "chanterelle", "length_mm": 345, "pitch_hz": 392, "diameter_mm": 1.0},
    {"name": "second", "length_mm": 345, "pitch_hz": 392, "diameter_mm": 1.0},
    {"name": "trompette", "length_mm": 350, "pitch_hz": 262, "diameter_mm": 1.1},
    {"name": "mouche", "length_mm": 350, "pitch_hz": 196, "diameter_mm": 1.3},
    {"name": "bourdon", "length_mm": 360, "pitch_hz": 131, "diameter_mm": 2.1},
]


def of(strings, **more):
    rows = [{**one, "material": "gut", "break_deg": 20, **more} for one in strings]
    return gauges()["string_set"].run({"strings": rows})


def drawn(count=20_000):
    """Sums of tensions when one rule and one batch of gut serve all (JCGM 101:2008)."""
    dice = np.random.default_rng(5)
    rule, density = dice.normal(0, 0.5, count), dice.normal(1300, 30, count)
    total = np.zeros(count)
    for one in SET:
        diameter = one["diameter_mm"] + dice.normal(0, 0.01, count)
        pitch = one["pitch_hz"] * (1 + dice.normal(0, 0.0005778, count))
        mass = density * math.pi * (diameter * 1e-3) ** 2 / 4
        total += mass * (2 * (one["length_mm"] + rule) * 1e-3 * pitch) ** 2
    return total


def test_the_load_of_a_set_is_covered_by_its_doubt():
    found, total = of(SET), drawn()

    assert found["u_load_n"] == pytest.approx(total.std(), rel=0.03)
    inside = np.abs(total - found["load_n"]) <= 1.96 * found["u_load_n"]
    assert 0.93 <= inside.mean() <= 0.97


def test_strings_taken_as_independent_would_be_far_too_sure():
    found = of(SET)
    independent = math.sqrt(sum(one["u_tension_n"] ** 2 for one in found["strings"]))

    assert found["u_load_n"] > 1.3 * independent


def test_two_alike_by_hand():
    # T = 66.0 N each; density 30/1300 of it on both, rule 2·0.5/345 on both; diameter 2·0.01/1.0
    # and pitch 2·0.0005778 each for itself.
    found = of(SET[:2])
    tension = found["strings"][0]["tension_n"]
    both = math.hypot(30 / 1300, 2 * 0.5 / 345)
    alone = math.hypot(2 * 0.01 / 1.0, 2 * 0.0005778)

    u = tension * math.sqrt((2 * both) ** 2 + 2 * alone**2)
    assert found["u_load_n"] == pytest.approx(u, rel=1e-6)


def test_the_force_on_a_bridge_shares_as_the_tensions_do():
    found = of(SET[:2], u_angle_deg=0)
    share = found["u_load_n"] / found["load_n"]

    (bridge,) = found["bridges"]
    assert bridge["u_downforce_n"] / bridge["downforce_n"] == pytest.approx(share, rel=1e-6)


def test_a_doubt_that_was_typed_is_of_that_string_alone():
    found = of(SET[:2], u_length_mm=0.5, density_kg_m3=1300, u_density_kg_m3=30)
    singles = math.sqrt(sum(one["u_tension_n"] ** 2 for one in found["strings"]))

    assert found["u_load_n"] == pytest.approx(singles, rel=1e-9)


def test_terms_that_share_nothing_add_as_squares():
    assert u_of_sum([(3.0, {}), (4.0, {})]) == pytest.approx(5.0)
    assert u_of_sum([(3.0, {"rule": 3.0}), (4.0, {"rule": 4.0})]) == pytest.approx(7.0)
    assert u_of_sum([(3.0, {"rule": 3.0}), (3.0, {"rule": -3.0})]) == pytest.approx(0.0)


def test_sizes_for_a_wanted_tension_and_the_stiffness_stand_in_the_row():
    rows = [
        {**SET[0], "material": "gut", "wanted_n": 60},
        {**SET[1], "material": "silver_wound"},
    ]

    plain, wound = gauges()["string_set"].run({"strings": rows})["strings"]

    by_itself = gauges()["equivalent_diameter"].run(
        {"tension_n": 60, "length_mm": 345, "pitch_hz": 392, "u_pitch_hz": 392 * 0.0005778}
    )
    assert plain["wanted"]["diameter_mm"] == pytest.approx(by_itself["diameter_mm"])
    assert plain["wanted"]["u_diameter_mm"] == pytest.approx(by_itself["u_diameter_mm"])
    tone = gauges()["inharmonicity"].run(
        {"diameter_mm": 1.0, "tension_n": plain["tension_n"], "length_mm": 345, "material": "gut"}
    )
    assert plain["stiff"]["b"] == pytest.approx(tone["b"])
    assert plain["stiff"]["sharp_cents"] == pytest.approx(tone["partials"][11]["sharp_cents"])
    assert (wound["stiff"], wound["wanted"]) == (None, None)
