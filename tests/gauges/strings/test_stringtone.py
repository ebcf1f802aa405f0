"""Stiffness, partials and sizes of gut, worked by hand; what is assumed and what is refused."""

import math

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.strings import stringlaw as law

STIFF = {"diameter_mm": 1.0, "tension_n": 50.0, "length_mm": 500.0, "youngs_gpa": 5.0}
# By hand: π³ · 5·10⁹ · 10⁻¹² / (64 · 50 · 0.25) = 0.155031 / 800.
B = 1.937892e-4


def stiff(**given):
    return gauges()["inharmonicity"].run({**STIFF, **given})


def size(**given):
    return gauges()["equivalent_diameter"].run({"length_mm": 345, "pitch_hz": 391.995, **given})


@pytest.mark.parametrize(
    ("given", "share"),
    [
        # Four times the diameter's share, twice the length's, once the modulus' (a tenth).
        ({}, math.hypot(0.04, 0.002, 0.1)),
        ({"u_youngs_gpa": 0.25}, math.hypot(0.04, 0.002, 0.05)),
        ({"u_youngs_gpa": 0, "u_diameter_mm": 0, "u_tension_n": 5}, math.hypot(0.002, 0.1)),
        ({"u_youngs_gpa": 0, "u_diameter_mm": 0, "u_length_mm": 5}, 0.02),
    ],
)
def test_stiffness_and_how_sure_it_is(given, share):
    found = stiff(**given)

    assert found["b"] == pytest.approx(B, rel=1e-6)
    assert found["u_b"] == pytest.approx(B * share, rel=0.01)


def test_partials_stand_sharp_by_the_stiffness():
    found = stiff(pitch_hz=100, partials=3)["partials"]

    # By hand: 600·log₂((1 + B·n²) / (1 + B)) cents above n times the first.
    assert [one["n"] for one in found] == [1, 2, 3]
    assert found[0] == {"n": 1, "sharp_cents": 0.0, "pitch_hz": 100.0}
    sharp = [600 * math.log2((1 + B * n * n) / (1 + B)) for n in (2, 3)]
    assert [one["sharp_cents"] for one in found[1:]] == pytest.approx(sharp, rel=1e-5)
    hertz = [100 * n * math.sqrt((1 + B * n * n) / (1 + B)) for n in (2, 3)]
    assert [one["pitch_hz"] for one in found[1:]] == pytest.approx(hertz, rel=1e-9)


def test_twelve_partials_without_a_pitch_unless_said_otherwise():
    found = stiff()["partials"]

    assert len(found) == 12
    assert {one["pitch_hz"] for one in found} == {None}
    assert (len(stiff(partials=1)["partials"]), len(stiff(partials=40)["partials"])) == (1, 40)


def test_the_modulus_of_a_material_has_its_own_doubt():
    without = {name: value for name, value in STIFF.items() if name != "youngs_gpa"}
    steel = gauges()["inharmonicity"].run({**without, "material": "steel"})

    # Steel: 200 GPa ± 5, forty times the 5 GPa above.
    assert steel["b"] == pytest.approx(40 * B, rel=1e-6)
    assert steel["u_b"] == pytest.approx(40 * B * math.hypot(0.04, 0.002, 0.025), rel=0.01)
    assert stiff(material="steel")["b"] == pytest.approx(B, rel=1e-6)  # what is given goes before


@pytest.mark.parametrize(
    ("given", "code", "field"),
    [
        ({"youngs_gpa": None}, "missing", "youngs_gpa"),
        ({"youngs_gpa": None, "material": "silver_wound"}, "missing", "youngs_gpa"),
        ({"youngs_gpa": 0}, "not_positive", "youngs_gpa"),
        ({"youngs_gpa": 500.1}, "too_big", "youngs_gpa"),
        ({"u_youngs_gpa": 5.1}, "too_big", "u_youngs_gpa"),
        ({"u_tension_n": 50.1}, "too_big", "u_tension_n"),
        ({"partials": 0}, "too_small", "partials"),
        ({"partials": 41}, "too_big", "partials"),
        ({"pitch_hz": 7.9}, "too_small", "pitch_hz"),
        ({"tension_n": None}, "missing", "tension_n"),
        ({"density_kg_m3": 1}, "unknown", "input"),
    ],
)
def test_a_stiffness_that_cannot_be_is_refused(given, code, field):
    with pytest.raises(GaugeInputError) as refusal:
        stiff(**given)

    assert (refusal.value.code, refusal.value.field) == (code, field)


# ---- sizes

# By hand: gut of 0.8 mm sounding g' at 345 mm is 1300·π·(0.0008 · 0.345 · 391.995)² = 47.8049 N.
OF_08 = 1300 * math.pi * (0.0008 * 0.345 * 391.995) ** 2


@pytest.mark.parametrize(
    ("tension", "step", "sizes"),
    [
        (OF_08, 0.02, [0.78, 0.80, 0.82, 0.84]),
        (OF_08 * (1 - 1e-11) ** 2, 0.02, [0.78, 0.80, 0.82, 0.84]),  # lacks a hair
        (OF_08 * 0.999, 0.02, [0.76, 0.78, 0.80, 0.82]),
        (OF_08, 0.25, [0.5, 0.75, 1.0, 1.25]),
        (OF_08 / 16, 0.5, [0.5, 1.0]),  # 0.2 mm: no string of nought and none of less
        (OF_08, 0.0333333, [0.766666, 0.799999, 0.833333, 0.866666]),
    ],
)
def test_sizes_stand_two_below_and_two_above(tension, step, sizes):
    found = size(tension_n=tension, step_mm=step)

    assert [one["diameter_mm"] for one in found["suggestions"]] == sizes
    for one in found["suggestions"]:
        wanted = OF_08 * (one["diameter_mm"] / 0.8) ** 2
        assert one["tension_n"] == pytest.approx(wanted, rel=1e-9)


def test_the_size_for_a_tension_in_either_unit():
    newtons, kilos = size(tension_n=5 * 9.80665), size(tension_kgf=5)

    assert newtons == kilos
    assert kilos["tension_n"] == pytest.approx(49.03325)
    assert kilos["tension_kgf"] == pytest.approx(5)
    # By hand: 0.8 · √(49.03325 / 47.8049) = 0.81021 mm; Satoh: 49·√5 / (391.995 · 0.345).
    assert kilos["diameter_mm"] == pytest.approx(0.81021, abs=1e-5)
    assert kilos["satoh_mm"] == pytest.approx(109.5673 / 135.23828, abs=1e-6)


@pytest.mark.parametrize(
    ("given", "share"),
    [
        ({}, 0.5 / 345),
        ({"u_length_mm": 0, "u_pitch_hz": 3.91995}, 0.01),
        ({"u_length_mm": 3.45, "u_pitch_hz": 3.91995}, math.hypot(0.01, 0.01)),
    ],
)
def test_the_size_is_as_sure_as_length_and_pitch(given, share):
    found = size(tension_n=OF_08, **given)

    assert found["u_diameter_mm"] == pytest.approx(0.8 * share, rel=1e-4)


@pytest.mark.parametrize(
    ("given", "code", "field", "value"),
    [
        ({}, "needs_one", "tension_n, tension_kgf", 0),
        ({"tension_n": 50, "tension_kgf": 5}, "needs_one", "tension_n, tension_kgf", 2),
        ({"tension_kgf": 101.98}, "too_big", "tension_kgf", "101.98"),
        (
            {"tension_n": 0.06, "length_mm": 2000, "pitch_hz": 5000},
            "too_small",
            "diameter_mm",
            None,
        ),
        ({"tension_n": 1000, "pitch_hz": 8}, "too_big", "diameter_mm", None),
        ({"tension_n": 50, "step_mm": 0.0009}, "too_small", "step_mm", "0.0009"),
        ({"tension_n": 50, "step_mm": 0.501}, "too_big", "step_mm", "0.501"),
    ],
)
def test_a_size_that_is_not_made_is_refused(given, code, field, value):
    with pytest.raises(GaugeInputError) as refusal:
        size(**given)

    assert (refusal.value.code, refusal.value.field) == (code, field)
    assert value is None or refusal.value.details["value"] == value


def test_a_thousand_newtons_may_be_given_in_kilos():
    assert size(tension_kgf=101.97, pitch_hz=1000)["tension_n"] < 1000


def test_the_laws_go_back_and_forth_in_their_units():
    # By hand: 1 g/m at 500 mm and 100 Hz is 0.001 · 100² = 10 N.
    assert law.tension_n(500, 100, 1) == pytest.approx(10)
    assert law.length_mm(10, 100, 1) == pytest.approx(500)
    assert law.pitch_hz(10, 500, 1) == pytest.approx(100)
    assert law.mass_for_g_m(10, 500, 100) == pytest.approx(1)
    assert law.density_kg_m3(1, 2) == pytest.approx(1000 / math.pi)  # 4·1/(π·4)·1000
    assert law.diameter_mm(1, 1000 / math.pi) == pytest.approx(2)
    assert law.stress_mpa(math.pi, 2) == pytest.approx(1)
    assert law.semitones_to_breaking(50, 200) == pytest.approx(12)  # four times: an octave
