"""Strings: published rows, inversions, independent references, refusals, golden figures."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.propagation import spread
from repairs.gauges.everything import gauges
from repairs.gauges.strings import stringlaw as law
from repairs.gauges.strings.materials import MATERIALS

ROWS = json.loads(Path(__file__).with_name("published_strings.json").read_text("utf-8"))

# Every subject of the published rows, as the gauge that answers it and the figure to read.
ASK = {
    "string.gut.satoh": lambda i: (
        "equivalent_diameter",
        {"length_mm": i["L"] * 1000, "pitch_hz": i["f"], "tension_kgf": i["k"]},
        "satoh_mm",
    ),
    "string.diameter": lambda i: (
        "string",
        {
            "length_mm": i["L_mm"],
            "pitch_hz": i["f_Hz"],
            "density_kg_m3": i["rho"],
            "tension_n": i["T_kgf"] * law.G_M_S2,
        },
        "diameter_mm",
    ),
    "string.tension": lambda i: (
        "string",
        {
            "length_mm": i["L_mm"],
            "pitch_hz": i["f_Hz"],
            "density_kg_m3": i["rho"],
            "diameter_mm": i["d_mm"],
        },
        "tension_n",
    ),
    "string.downforce": lambda i: (
        "downforce",
        {"tension_n": i["T_N"], "speaking_deg": i["a_deg"], "after_deg": i["b_deg"]},
        "downforce_n",
    ),
    "string.downforce.symmetric": lambda i: (
        "downforce",
        {"tension_n": i["T_N"], "break_deg": i["theta_deg"]},
        "downforce_n",
    ),
    "string.inharmonicity": lambda i: (
        "inharmonicity",
        {
            "tension_n": i["T_N"],
            "length_mm": i["L_mm"],
            "diameter_mm": i["d_mm"],
            "youngs_gpa": i["E_Pa"] / 1e9,
        },
        "b",
    ),
}


@pytest.mark.parametrize("row", [r for r in ROWS if r["subject"] in ASK])
def test_published_figures(row):
    gauge, asked, figure = ASK[row["subject"]](row["inputs"])

    answer = gauges()[gauge].run(asked)

    assert answer[figure] == pytest.approx(row["expected"], abs=row["tolerance"]), row["source"]


def test_every_published_row_is_asked():
    subjects = {r["subject"] for r in ROWS}

    assert subjects - set(ASK) == {"string.gut.satoh.constant"}


def test_satohs_constant_is_gut_of_1300():
    (row,) = [r for r in ROWS if r["subject"] == "string.gut.satoh.constant"]

    constant = 1000 * math.sqrt(law.G_M_S2 / (math.pi * MATERIALS["gut"].density_kg_m3))

    assert constant == pytest.approx(row["expected"], abs=row["tolerance"])


GUT = {"length_mm": 345.0, "pitch_hz": 391.995, "diameter_mm": 0.8, "density_kg_m3": 1300.0}


@pytest.mark.parametrize("left_out", ["length_mm", "pitch_hz", "diameter_mm", "density_kg_m3"])
def test_every_inversion_finds_what_was_left_out(left_out):
    tension = gauges()["string"].run(GUT)["tension_n"]
    asked = {**GUT, "tension_n": tension}
    expected = asked.pop(left_out)

    answer = gauges()["string"].run(asked)

    assert answer["computed"] == left_out
    assert answer[left_out] == pytest.approx(expected, rel=1e-12)


def test_mass_alone_when_neither_diameter_nor_density_is_known():
    answer = gauges()["string"].run({"length_mm": 345, "pitch_hz": 391.995, "tension_n": 60})

    # By hand: 2·L·f = 0.69 m · 391.995 Hz = 270.47655 m/s; 60 N / 270.47655² = 0.82015 g/m.
    assert answer["computed"] == "mass_g_m"
    assert answer["mass_g_m"] == pytest.approx(0.82015, abs=1e-5)
    assert answer["diameter_mm"] is None
    assert answer["stress_mpa"] is None


def test_mass_replaces_diameter_and_density():
    mass = law.mass_g_m(0.8, 1300)

    answer = gauges()["string"].run({"length_mm": 345, "pitch_hz": 391.995, "mass_g_m": mass})

    assert answer["tension_n"] == pytest.approx(gauges()["string"].run(GUT)["tension_n"])
    assert answer["gut_equivalent_mm"] == pytest.approx(0.8)


def test_mass_and_diameter_tell_what_a_string_may_be_made_of():
    answer = gauges()["string"].run(
        {"length_mm": 345, "pitch_hz": 391.995, "tension_n": 40.594, "diameter_mm": 0.3}
    )

    assert answer["computed"] == "density_kg_m3"
    assert answer["density_kg_m3"] == pytest.approx(7850, rel=1e-4)


@settings(deadline=None, max_examples=80, derandomize=True)
@given(
    st.floats(100, 1000), st.floats(40, 1500), st.floats(0.2, 3.0), st.sampled_from(list(MATERIALS))
)
def test_tension_then_diameter_comes_back(length, pitch, diameter, material):
    asked = {"length_mm": length, "pitch_hz": pitch, "diameter_mm": diameter, "material": material}
    try:
        tension = gauges()["string"].run(asked)["tension_n"]
    except GaugeInputError as refusal:
        assert refusal.field == "tension_n"
        return
    del asked["diameter_mm"]

    answer = gauges()["string"].run({**asked, "tension_n": tension})

    assert answer["diameter_mm"] == pytest.approx(diameter, rel=1e-9)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.floats(200, 500), st.floats(60, 700), st.floats(0.3, 2.5))
def test_tension_doubt_is_the_root_of_the_squares(length, pitch, diameter):
    us = {"u_length_mm": 0.5, "u_pitch_hz": 0.3, "u_diameter_mm": 0.01, "u_density_kg_m3": 20}
    asked = {"length_mm": length, "pitch_hz": pitch, "diameter_mm": diameter, "density_kg_m3": 1300}
    shares = (2 * 0.5 / length, 2 * 0.3 / pitch, 2 * 0.01 / diameter, 20 / 1300)
    try:
        answer = gauges()["string"].run({**asked, **us})
    except GaugeInputError as refusal:
        assert refusal.field == "tension_n"
        return

    assert answer["u_tension_n"] == pytest.approx(
        answer["tension_n"] * math.hypot(*shares), rel=1e-6
    )
    assert answer["assumed"] == []


def test_doubt_by_first_order_agrees_with_many_throws():
    rng = np.random.default_rng(7)
    n = 200_000
    length, pitch = rng.normal(0.345, 0.5e-3, n), rng.normal(391.995, 0.3, n)
    diameter, density = rng.normal(0.8e-3, 0.01e-3, n), rng.normal(1300, 20, n)
    tension = np.pi * density * (diameter * length * pitch) ** 2
    asked = {**GUT, "u_length_mm": 0.5, "u_pitch_hz": 0.3, "u_diameter_mm": 0.01}

    answer = gauges()["string"].run({**asked, "u_density_kg_m3": 20})

    assert answer["u_tension_n"] == pytest.approx(float(tension.std()), rel=0.02)


def test_a_value_that_enters_twice_is_counted_as_one():
    # x − x is exactly 0 whatever x is, so nothing is doubtful about it.
    assert spread(lambda v: v["x"] - v["x"], {"x": 5.0}, {"x": 1.0}) == 0.0


def test_the_stress_of_a_plain_string_does_not_depend_on_its_diameter():
    thin = gauges()["string"].run({**GUT, "diameter_mm": 0.5, "material": "gut"})
    thick = gauges()["string"].run({**GUT, "diameter_mm": 1.5, "material": "gut"})

    # By hand: 4·ρ·(L·f)² = 4 · 1300 · (0.345 · 391.995)² = 5200 · 18289.39 = 95.105 MPa.
    assert thin["stress_mpa"] == pytest.approx(95.105, abs=0.001)
    assert thick["stress_mpa"] == pytest.approx(95.105, abs=0.001)
    assert thin["u_stress_mpa"] == pytest.approx(thick["u_stress_mpa"])


@pytest.mark.parametrize(
    ("pitch_hz", "word"), [(391.995, "inside"), (740.0, "outside"), (640.0, "doubtful")]
)
def test_gut_is_safe_two_semitones_below_its_breaking_pitch(pitch_hz, word):
    answer = gauges()["string"].run({**GUT, "pitch_hz": pitch_hz, "material": "gut"})

    # Breaking index 260 Hz·m: 345 mm breaks at 754 Hz.
    assert answer["breaking_pitch_hz"] == pytest.approx(754, abs=1)
    assert answer["safety"]["word"] == word


def test_a_wound_string_is_as_strong_as_its_core():
    wound = {"length_mm": 345, "pitch_hz": 98.0, "diameter_mm": 3.2, "material": "silver_wound"}

    blind = gauges()["string"].run(wound)
    known = gauges()["string"].run({**wound, "core_material": "gut", "core_mm": 1.0})

    assert blind["safety"] is None and blind["stress_mpa"] is None
    # By hand: 4 · T / (π · 1²) with T = 47.806 N is 60.87 MPa.
    assert known["stress_mpa"] == pytest.approx(60.87, abs=0.01)
    assert known["safety"]["word"] == "inside"


def test_every_material_says_where_its_figures_are_from():
    for material in MATERIALS.values():
        assert material.sources["density_kg_m3"]
        if material.breaking_mpa is not None:
            assert material.sources["breaking_mpa"]
    assert "breaking_mpa" in MATERIALS["steel"].from_memory
    assert "density_kg_m3" not in MATERIALS["gut"].from_memory
