"""Density and tap tone at the ends of what is wood, and what is told when little is given."""

from __future__ import annotations

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.wood.timber import (
    density,
    density_at,
    density_from_gravity,
    tap_tone,
    volume_shrinkage,
)

BLOCK = {"mass_g": 32, "length_mm": 200, "width_mm": 100, "thickness_mm": 4}


def test_density_at_twelve_per_cent_needs_the_moisture_and_the_wood():
    # Norway spruce, S_V 12.9 %: 3000/12.9 − 30 = 202.558; from 6 to 12 %: volume by 6/208.558,
    # mass by 1.12/1.06: 400·1.0566038/1.0287689 = 410.82.
    whole = gauges()["density"].run({**BLOCK, "mc_pct": 6, "species": "norway_spruce"})

    assert whole["at_12_kg_m3"] == pytest.approx(410.823, abs=0.002)
    # The block's 5.266 (see test_timber) grows alike to 5.409; 1 % of moisture at the start weighs
    # −410.8·(1/106 − 1/208.558) less what 202.558 carries, together 1.9.
    assert whole["u_at_12_kg_m3"] > 5.409
    sure = gauges()["density"].run(
        {**BLOCK, "mc_pct": 6, "species": "norway_spruce", "u_mc_pct": 0}
    )
    assert sure["u_at_12_kg_m3"] == pytest.approx(5.409, abs=0.002)
    for little in ({"mc_pct": 6}, {"species": "norway_spruce"}, {}):
        found = gauges()["density"].run({**BLOCK, **little})
        assert (found["at_12_kg_m3"], found["u_at_12_kg_m3"]) == (None, None)
        assert (found["density_kg_m3"], found["mc_pct"]) == (400, little.get("mc_pct"))


def test_at_twelve_per_cent_the_block_weighs_what_it_weighs():
    found = gauges()["density"].run({**BLOCK, "mc_pct": 12, "species": "maple"})

    assert found["at_12_kg_m3"] == pytest.approx(400)


def test_what_is_told_of_its_doubt_is_taken():
    # Shares alone: mass 1/32, length 2/200, width 1/100, thickness 0.1/4.
    doubts = {"u_mass_g": 0, "u_length_mm": 0, "u_width_mm": 0, "u_thickness_mm": 0}
    for name, share in (
        ({"u_mass_g": 1}, 1 / 32), ({"u_length_mm": 2}, 0.01), ({"u_width_mm": 1}, 0.01),
        ({"u_thickness_mm": 0.1}, 0.025),
    ):  # fmt: skip
        found = gauges()["density"].run({**BLOCK, **doubts, **name})
        assert found["u_density_kg_m3"] == pytest.approx(400 * share)


def test_densities_from_balsa_to_lignum_vitae():
    # 1 cm³: grams are tonnes for each cubic metre.
    assert density(0.06, (10, 10, 10))[0] == pytest.approx(60)
    assert density(1.5, (10, 10, 10))[0] == pytest.approx(1500)
    for mass in (0.0599, 1.501):
        with pytest.raises(GaugeInputError, match="density_kg_m3"):
            density(mass, (10, 10, 10))
    for rho in (59.9, 1500.1):
        with pytest.raises(GaugeInputError, match="density_kg_m3"):
            density_at(rho, 8, 12, 12.0)
    for sizes in ((3000.1, 10, 10), (10, 3000.1, 10), (10, 10, 0), (0, 10, 10)):
        with pytest.raises(GaugeInputError):
            density(1, sizes)
    # 10 mm square and 3 m long at 500 kg/m³: 150 g.
    assert density(150, (3000, 10, 10))[0] == pytest.approx(500)
    assert density(49_999, (3000, 200, 200))[0] == pytest.approx(416.66, abs=0.01)
    with pytest.raises(GaugeInputError, match="mass_g"):
        density(50_001, (3000, 200, 200))


@pytest.mark.parametrize(("first", "last"), [(-0.1, 12), (12, -0.1), (200.1, 12), (12, 200.1)])
def test_no_wood_holds_less_than_no_water_or_three_times_its_mass(first, last):
    with pytest.raises(GaugeInputError, match="mc_pct"):
        density_at(500, first, last, 12.0)
    assert density_at(500, 0, 0, 12.0) == density_at(500, 200, 200, 12.0) == pytest.approx(500)


def test_gravity_and_the_water_in_it():
    # 1000·1.5·(1 + 2) and 1000·0.4·1.
    assert density_from_gravity(1.5, 200) == pytest.approx(4500)
    assert density_from_gravity(0.4, 0) == pytest.approx(400)
    for gravity, moisture in ((1.51, 12), (0, 12), (0.4, -1), (0.4, 201)):
        with pytest.raises(GaugeInputError):
            density_from_gravity(gravity, moisture)


def test_volume_shrinkage_of_other_woods():
    # Printed for walnut; of both directions for lime: 1 − 0.932·0.905 = 0.15654.
    assert volume_shrinkage("black_walnut") == 12.8
    assert volume_shrinkage("lime") == pytest.approx(15.654)
    with pytest.raises(GaugeInputError, match="boxwood"):
        volume_shrinkage("boxwood")


def test_a_strip_ten_times_as_long_as_thick_is_the_thickest_that_sounds():
    # 26·0.1² = 26 % by shear; nodes at 0.224158 of 100 mm.
    found = tap_tone(1000, 20, (100, 50, 10))

    assert found.shear_pct == pytest.approx(26.0)
    assert found.node_mm == pytest.approx(22.4158)
    assert found.notes == ("thick_for_its_length",)
    with pytest.raises(GaugeInputError, match="thickness_mm"):
        tap_tone(1000, 20, (100, 50, 10.01))


def test_stiffness_grows_with_the_square_of_the_tone_up_to_sixty():
    # A strip of 11.252 GPa at 92 Hz (see test_timber): 60 at 92·√(60/11.25200) = 212.44 Hz, and
    # 0.02 at 92·√(0.02/11.25200) = 3.8787 Hz.
    strip = (21.6, (400, 50, 2.7))
    assert tap_tone(212.4, *strip).e_gpa == pytest.approx(59.98, abs=0.01)
    assert tap_tone(3.88, *strip).e_gpa == pytest.approx(0.02, abs=1e-4)
    for tone in (212.6, 3.87):
        with pytest.raises(GaugeInputError, match="e_gpa"):
            tap_tone(tone, *strip)
    for tone in (0.9, 20_001):
        with pytest.raises(GaugeInputError, match="f_hz"):
            tap_tone(tone, *strip)


def test_the_doubt_of_the_tone_and_of_shear_by_hand():
    # Speed: shares f 0.5/92 = 0.0054348, L 2·0.5/400 = 0.0025, t 0.05/2.7 = 0.0185185,
    # half of the shear's 0.00118463/√3 = 0.000341975: root of squares 0.0194624.
    found = tap_tone(92.0, 21.6, (400, 50, 2.7))

    assert found.u_speed_m_s / found.speed_m_s == pytest.approx(0.0194624, abs=5e-6)
    # Only the shear: e by 26·(2.7/400)²/√3 = 0.00068395.
    sure = tap_tone(92.0, 21.6, (400, 50, 2.7), u_f_hz=0, u_mass_g=0, u_sizes_mm=(0, 0, 0))
    assert sure.u_e_gpa / sure.e_gpa == pytest.approx(0.00068395, abs=2e-7)
    assert sure.shear_pct == pytest.approx(0.118463, abs=1e-6)
    told = gauges()["tap_tone"].run(
        {"mass_g": 21.6, "length_mm": 400, "width_mm": 50, "thickness_mm": 2.7, "f_hz": 92,
         "u_f_hz": 9.2, "u_mass_g": 0, "u_length_mm": 0, "u_width_mm": 0, "u_thickness_mm": 0}
    )  # fmt: skip
    assert told["u_speed_m_s"] / told["speed_m_s"] == pytest.approx(0.1, abs=1e-4)
