"""Density and tap tone: published rows, the form of ASTM E1876, the roots of the free bar."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh
from scipy.optimize import brentq

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.wood import timber
from repairs.gauges.wood.timber import (
    density,
    density_at,
    density_from_gravity,
    stiffness_gpa,
    tap_tone,
    volume_shrinkage,
)

ROWS = json.loads((Path(__file__).parent / "published_timber.json").read_text("utf-8"))
STRIP = {"mass_g": 21.6, "length_mm": 400, "width_mm": 50, "thickness_mm": 2.7, "f_hz": 92.0}


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['source']}-{r['inputs']}")
def test_density_from_gravity(row):
    got = density_from_gravity(row["inputs"]["G12"], row["inputs"]["M"])

    assert got == pytest.approx(row["expected"], abs=row["tolerance"])


def test_density_of_a_block_by_hand():
    # 200 × 100 × 4 mm = 80 000 mm³; 32 g: 400 kg/m³. Shares: 0.1/32 = 0.003125,
    # 0.5/200 = 0.0025, 0.1/100 = 0.001, 0.05/4 = 0.0125; root of squares 0.013164: 5.27 kg/m³.
    rho, u = density(32, (200, 100, 4))

    assert rho == pytest.approx(400.0)
    assert u == pytest.approx(5.266, abs=0.002)


def test_density_at_another_moisture_by_hand():
    # S_V 12 %: 3000/12 − 30 = 220. From 6 to 12 %: volume grows by 6/226 = 2.655 %, mass by
    # 1.12/1.06 = 1.056604: 400·1.056604/1.026549 = 411.711.
    assert density_at(400, 6, 12, 12.0) == pytest.approx(411.711, abs=0.001)


@settings(deadline=None, max_examples=40, derandomize=True)
@given(first=st.floats(0, 60), last=st.floats(0, 60), s_v=st.floats(5, 20))
def test_density_there_and_back(first, last, s_v):
    there = density_at(500, first, last, s_v)

    assert density_at(there, last, first, s_v) == pytest.approx(500)


def test_volume_shrinkage_as_printed_or_of_both_directions():
    assert volume_shrinkage("norway_spruce") == 12.9
    assert volume_shrinkage("maple") == pytest.approx(100 * (1 - 0.958 * 0.912))


def test_the_root_of_the_free_bar():
    root = brentq(lambda x: math.cos(x) * math.cosh(x) - 1, 4, 5, xtol=1e-14)

    assert pytest.approx(root, abs=1e-12) == timber.FIRST_ROOT


def test_the_nodes_of_the_first_mode():
    x1 = timber.FIRST_ROOT
    ratio = (math.cosh(x1) - math.cos(x1)) / (math.sinh(x1) - math.sin(x1))

    def shape(s):
        a = x1 * s
        return math.cosh(a) + math.cos(a) - ratio * (math.sinh(a) + math.sin(a))

    assert pytest.approx(brentq(shape, 0.1, 0.4), abs=1e-6) == timber.NODE_SHARE


def test_stiffness_is_that_of_astm_e1876_without_its_shear_term():
    # E = 0.9465·(m·f²/b)·(L³/t³), SI units; the factor is printed to four digits.
    m, length, b, t, f = 0.0216, 0.4, 0.05, 0.0027, 92.0

    got = tap_tone(f, 21.6, (400, 50, 2.7)).e_gpa

    assert got == pytest.approx(0.9465 * m * f**2 / b * (length / t) ** 3 / 1e9, rel=2e-4)


def test_stiffness_agrees_with_finite_elements_of_a_free_bar():
    """Hermite beam elements, which know neither the root 4.730 nor the formula."""
    e, rho, length, b, t, n = 11e9, 430.0, 0.4, 0.05, 0.003, 24
    area, inertia, h = b * t, b * t**3 / 12, length / n
    stiff = e * inertia / h**3 * np.array(
        [[12, 6 * h, -12, 6 * h], [6 * h, 4 * h**2, -6 * h, 2 * h**2],
         [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h**2, -6 * h, 4 * h**2]]
    )  # fmt: skip
    mass = rho * area * h / 420 * np.array(
        [[156, 22 * h, 54, -13 * h], [22 * h, 4 * h**2, 13 * h, -3 * h**2],
         [54, 13 * h, 156, -22 * h], [-13 * h, -3 * h**2, -22 * h, 4 * h**2]]
    )  # fmt: skip
    whole_k, whole_m = np.zeros((2 * n + 2, 2 * n + 2)), np.zeros((2 * n + 2, 2 * n + 2))
    for i in range(n):
        part = slice(2 * i, 2 * i + 4)
        whole_k[part, part] += stiff
        whole_m[part, part] += mass
    f = math.sqrt(eigh(whole_k, whole_m, eigvals_only=True)[2]) / (2 * math.pi)

    assert stiffness_gpa(f, rho, 400, 3) == pytest.approx(11.0, rel=1e-5)


def test_a_spruce_strip_by_hand():
    # Volume 400·50·2.7 = 54 000 mm³, 21.6 g: 400 kg/m³.
    # √(E/ρ) = √0.946414·f·L²/t = 0.972838·92·0.16/0.0027 = 5303.8 m/s; thickness leaves
    # √(E/ρ³) = speed/ρ = 13.26; E = 400·5303.8² = 11.252 GPa.
    got = tap_tone(92.0, 21.6, (400, 50, 2.7))

    assert got.density_kg_m3 == pytest.approx(400.0)
    assert got.speed_m_s == pytest.approx(5303.8, abs=0.5)
    assert got.radiation == pytest.approx(13.26, abs=0.005)
    assert got.e_gpa == pytest.approx(11.252, abs=0.003)
    assert got.node_mm == pytest.approx(89.66, abs=0.01)
    assert got.notes == ()


def test_uncertainty_by_powers():
    # E ~ m f² L³ / (b t³): shares 0.1/21.6 = 0.0046, 2·0.5/92 = 0.0109, 3·0.5/400 = 0.00375,
    # 0.1/50 = 0.002, 3·0.05/2.7 = 0.0556; shear 26·(2.7/400)²/√3 = 0.0007: together 0.0570.
    # The radiation ratio is f L³ b / m, thickness falls out: 0.0054, 0.00375, 0.002 and 0.0046
    # together 0.0084.
    got = tap_tone(92.0, 21.6, (400, 50, 2.7))

    assert got.u_e_gpa / got.e_gpa == pytest.approx(0.0570, abs=2e-4)
    assert got.u_radiation / got.radiation == pytest.approx(0.0084, abs=2e-4)


def test_a_short_wide_strip_is_noted():
    assert tap_tone(400, 20, (100, 60, 5)).notes == (
        "thick_for_its_length",
        "wide_for_its_length",
    )


@pytest.mark.parametrize(
    ("change", "code", "field"),
    [
        ({"mass_g": -1}, "not_positive", "mass_g"),
        ({"mass_g": 2160}, "too_big", "density_kg_m3"),
        ({"length_mm": 10_000}, "too_big", "length_mm"),
        ({"thickness_mm": 0}, "not_positive", "thickness_mm"),
        ({"thickness_mm": 50, "mass_g": 400}, "too_big", "thickness_mm"),
        ({"f_hz": "ping"}, "not_a_number", "f_hz"),
        ({"f_hz": 5000}, "too_big", "e_gpa"),
        ({"width_mm": None}, "missing", "width_mm"),
        ({"wdith_mm": 3}, "unknown", "input"),
    ],
)
def test_bad_input_is_refused_by_name(change, code, field):
    with pytest.raises(GaugeInputError) as refused:
        gauges()["tap_tone"].run({**STRIP, **change})

    assert (refused.value.code, refused.value.field) == (code, field)


GOLDEN = [
    "timber 1",
    11.25199521,
    0.640922493,
    13.259427784,
    400.0,
    7.693441348,
    407.08143652,
    8.042010902,
]


def test_figures_change_only_with_the_version():
    tone = gauges()["tap_tone"].run(STRIP)
    block = {k: v for k, v in STRIP.items() if k != "f_hz"}
    heavy = gauges()["density"].run({**block, "mc_pct": 8, "species": "norway_spruce"})
    got = [
        timber.VERSION,
        round(tone["e_gpa"], 9),
        round(tone["u_e_gpa"], 9),
        round(tone["radiation"], 9),
        round(heavy["density_kg_m3"], 9),
        round(heavy["u_density_kg_m3"], 9),
        round(heavy["at_12_kg_m3"], 9),
        round(heavy["u_at_12_kg_m3"], 9),
    ]

    assert got == GOLDEN
