"""What is given of one string: which quantity is left out, the doubts that are assumed, refusals.

Expected figures are worked by hand from 2·L·f, ρ·π·d²/4 and 4·T/(π·d²).
"""

import math

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges

LENGTH = {"length_mm": 345.0, "pitch_hz": 391.995}
GUT = {**LENGTH, "diameter_mm": 0.8, "density_kg_m3": 1300.0}


def string(**given):
    return gauges()["string"].run(given)


def refused(**given):
    with pytest.raises(GaugeInputError) as refusal:
        string(**given)
    return refusal.value


@pytest.mark.parametrize(
    ("given", "computed"),
    [
        (GUT, "tension_n"),
        ({**LENGTH, "tension_n": 40, "material": "gut"}, "diameter_mm"),
        ({**LENGTH, "tension_n": 40, "density_kg_m3": 1300}, "diameter_mm"),
        ({**LENGTH, "tension_n": 40, "diameter_mm": 0.8}, "density_kg_m3"),
        ({**LENGTH, "tension_n": 40}, "mass_g_m"),
        ({**LENGTH, "mass_g_m": 0.6}, "tension_n"),
        ({**LENGTH, "mass_g_m": 0.6, "material": "gut"}, "tension_n"),
        ({**LENGTH, "mass_g_m": 0.6, "diameter_mm": 0.8, "material": "gut"}, "tension_n"),
        ({"length_mm": 345, "tension_n": 40, "mass_g_m": 0.6}, "pitch_hz"),
        ({"pitch_hz": 392, "tension_n": 40, "mass_g_m": 0.6}, "length_mm"),
    ],
)
def test_what_is_left_out_is_what_is_computed(given, computed):
    assert string(**given)["computed"] == computed


@pytest.mark.parametrize(
    ("given", "count"),
    [
        ({**GUT, "tension_n": 40}, 0),
        ({"length_mm": 345, "mass_g_m": 0.6}, 2),
        ({"length_mm": 345}, 3),
        ({"diameter_mm": 0.8, "density_kg_m3": 1300}, 3),
        ({"diameter_mm": 0.8, "material": "gut"}, 3),
        ({"material": "gut"}, 4),
        ({}, 4),
    ],
)
def test_one_quantity_and_no_more_is_left_out(given, count):
    found = refused(**given)

    assert (found.code, found.details["value"]) == ("leave_one", count)


@pytest.mark.parametrize("beside", [LENGTH, {}])
def test_mass_diameter_and_density_may_not_all_be_given(beside):
    found = refused(**beside, diameter_mm=0.8, density_kg_m3=1300, mass_g_m=0.65)

    assert (found.code, found.field, found.details["value"]) == (
        "needs_one",
        "mass_g_m, density_kg_m3",
        2,
    )


def test_a_weighed_string_of_known_material_has_a_diameter():
    # By hand: √(4 · 0.6 / (π · 1300) · 1000) = 0.76658 mm; of its mass it is not asked twice.
    known = string(**LENGTH, mass_g_m=0.6, material="gut")
    measured = string(**LENGTH, mass_g_m=0.6, diameter_mm=0.8, material="gut")

    assert known["density_kg_m3"] == 1300
    assert known["diameter_mm"] == pytest.approx(0.76658, abs=1e-5)
    # By hand: 4 · 0.6 / (π · 0.64) · 1000 = 1193.66: what was measured goes before the material.
    assert measured["density_kg_m3"] == pytest.approx(1193.66, abs=0.01)


def test_a_density_that_is_given_goes_before_that_of_the_material():
    found = string(**GUT | {"density_kg_m3": 1280}, material="gut")

    assert (found["density_kg_m3"], found["u_density_kg_m3"]) == (1280, pytest.approx(25.6))


# ---- doubts


def test_the_doubts_of_the_house_are_assumed_and_named():
    found = string(**GUT)

    # Half a millimetre, one cent (0.05778 %), a hundredth of a millimetre, 2 % of the density.
    assert found["u_length_mm"] == 0.5
    assert found["u_pitch_hz"] == pytest.approx(0.226495, abs=1e-6)
    assert found["u_diameter_mm"] == 0.01
    assert found["u_density_kg_m3"] == pytest.approx(26)
    assert found["assumed"] == ["u_length_mm", "u_pitch_hz", "u_diameter_mm", "u_density_kg_m3"]


def test_a_weighed_string_is_doubtful_by_a_hundredth_and_a_stated_tension_by_nothing():
    found = string(length_mm=345, tension_n=40, mass_g_m=0.6)

    assert (found["u_mass_g_m"], found["u_tension_n"]) == (pytest.approx(0.006), 0)


def test_the_density_of_a_material_has_its_own_doubt():
    assert string(**LENGTH, diameter_mm=0.8, material="gut")["u_density_kg_m3"] == 30


@pytest.mark.parametrize(("given", "u"), [(1, 1), (0.3, 0.3), ("0.3", 0.3), (0, 0), ("0", 0)])
def test_a_doubt_that_is_given_is_taken_and_not_named(given, u):
    found = string(**GUT, u_pitch_hz=given)

    assert found["u_pitch_hz"] == u
    assert "u_pitch_hz" not in found["assumed"]


def test_what_follows_is_as_doubtful_as_what_it_follows_from():
    found = string(**GUT)

    # By hand: mass 1300·π·0.64/4000 = 0.65345 g/m, doubtful by √(2.5² + 2²) % = 3.2016 %; the
    # equivalent diameter, its root, by half of that; the tension by twice L and f besides.
    assert found["mass_g_m"] == pytest.approx(0.653451, abs=1e-6)
    assert found["u_mass_g_m"] == pytest.approx(0.653451 * 0.0320156, rel=1e-4)
    assert found["gut_equivalent_mm"] == pytest.approx(0.8)
    assert found["u_gut_equivalent_mm"] == pytest.approx(0.8 * 0.0160078, rel=1e-4)
    share = math.hypot(0.0320156, 2 * 0.5 / 345, 2 * 0.0005778)
    assert found["u_tension_n"] == pytest.approx(47.8049 * share, rel=1e-4)
    assert found["tension_kgf"] == pytest.approx(47.8049 / 9.80665, rel=1e-5)


# ---- strength


def test_the_stress_of_a_string_of_unknown_material_has_no_breaking_point():
    found = string(**GUT)

    # By hand: 4 · 47.8049 / (π · 0.64) = 95.105 MPa.
    assert found["stress_mpa"] == pytest.approx(95.105, abs=0.001)
    assert found["breaking_mpa"] is None
    assert found["semitones_to_breaking"] is None
    assert found["safety"] is None


def test_how_far_below_breaking_a_gut_string_stands():
    found = string(**LENGTH, diameter_mm=0.8, material="gut")

    # By hand: 4·ρ·(L·f)² is doubtful by twice L and f and once ρ (30 of 1300); 352 MPa by 31;
    # 6·log₂(352 / 95.105) = 11.328, and of a share 6 / ln 2 = 8.6562 semitones.
    share = math.hypot(1 / 345, 2 * 0.0005778, 30 / 1300)
    assert found["u_stress_mpa"] == pytest.approx(95.105 * share, rel=1e-4)
    assert found["breaking_mpa"] == 352
    assert found["semitones_to_breaking"] == pytest.approx(11.328, abs=0.001)
    u = 8.6562 * math.hypot(share, 31 / 352)
    assert found["u_semitones_to_breaking"] == pytest.approx(u, rel=1e-4)
    assert found["breaking_pitch_hz"] == pytest.approx(391.995 * math.sqrt(352 / 95.105), abs=0.01)


def test_the_house_may_want_more_room_below_breaking():
    limits = {"semitones_to_breaking": {"lower": 13}}

    found = string(**LENGTH, diameter_mm=0.8, material="gut", limits=limits)

    assert found["safety"]["word"] == "outside"
    assert found["safety"]["u"] == found["u_semitones_to_breaking"]


WOUND = {"length_mm": 345, "pitch_hz": 98.0, "diameter_mm": 3.2, "material": "silver_wound"}


def test_a_wound_string_without_its_core_has_no_strength():
    found = string(**WOUND)

    assert {found[name] for name in ("stress_mpa", "u_stress_mpa", "breaking_mpa", "safety")} == {
        None
    }


def test_a_core_carries_a_weighed_string_of_no_known_diameter():
    found = string(length_mm=345, pitch_hz=98, mass_g_m=10, core_material="steel", core_mm=0.4)

    # By hand: T = 0.01 · (0.69 · 98)² = 45.724 N; 4 · T / (π · 0.16) = 363.86 MPa.
    assert found["stress_mpa"] == pytest.approx(363.86, abs=0.02)
    assert found["breaking_mpa"] == 2400


@pytest.mark.parametrize(
    ("core", "code", "field"),
    [
        ({"core_material": "copper_wound", "core_mm": 1}, "unknown", "core_material"),
        ({"core_mm": 1}, "missing", "core_material"),
        ({"core_material": "gut"}, "missing", "core_mm"),
        ({"core_material": "gut", "core_mm": 0.0199}, "too_small", "core_mm"),
        ({"core_material": "gut", "core_mm": 8.01}, "too_big", "core_mm"),
    ],
)
def test_a_core_must_be_something_that_carries(core, code, field):
    found = refused(**WOUND, **core)

    assert (found.code, found.field) == (code, field)
    if field == "core_material" and code == "unknown":
        assert "gut" in str(found) and "copper" not in str(found).split("Known")[1]


@pytest.mark.parametrize("core_mm", [0.02, 8.0])
def test_a_core_may_be_as_thin_and_thick_as_a_string(core_mm):
    assert string(**WOUND, core_material="gut", core_mm=core_mm)["stress_mpa"] > 0
