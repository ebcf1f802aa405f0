"""Cleats where a house sets its own steps, bars at the ends; the force that clamps must give."""

from __future__ import annotations

import math

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit
from repairs.gauges.everything import gauges
from repairs.gauges.wood.clamps import clamp_force, kpa_from_psi
from repairs.gauges.wood.cleats import Bar, cleats


@pytest.mark.parametrize(
    ("crack", "lower", "upper", "places", "notes"),
    [
        # 150 between the ends, steps of at most 50: three.
        (160, None, 50, (5, 55, 105, 155), ()),
        # 160 between: four of 40, and without a least step none is too close.
        (170, None, 50, (5, 45, 85, 125, 165), ()),
        # Only a least step: sixty is the most then, and 45 the middle: 150 in three.
        (160, 30, None, (5, 55, 105, 155), ()),
        # 120 in two of 60, and 121 in three of 40.33.
        (130, 60, None, (5, 65, 125), ()),
        (131, 60, None, (5, 45.3333, 85.6667, 126), ("closer",)),
        # 200 in steps of 20 to 30, middle 25: eight.
        (210, 20, 30, tuple(range(5, 206, 25)), ()),
        # 61 in two of 30.5: under the 31 that were asked for, and just as many as 30.5 asks for.
        (71, 31, 60, (5, 35.5, 66), ("closer",)),
        (71, 30.5, 60, (5, 35.5, 66), ()),
    ],
)
def test_a_house_sets_its_own_steps(crack, lower, upper, places, notes):
    found = cleats(crack, spacing=Limit(lower, upper, "mm"))

    assert found.places_mm == pytest.approx(places, abs=1e-4)
    assert found.notes == notes
    assert found.spacing_mm == pytest.approx(places[1] - places[0], abs=1e-4)


def test_larger_cleats_stand_further_in_and_want_a_longer_crack():
    # Half of 16 at each end: 8 and 102, 94 between them: two of 47.
    assert cleats(110, size_mm=16).places_mm == (8, 55, 102)
    assert cleats(32, size_mm=16).places_mm == (8, 24)
    assert cleats(31.9, size_mm=16).notes == ("short",)
    assert cleats(31.9, size_mm=16, thickness_mm=1.6).thickness_mm == 1.6


def test_two_bars_share_a_crack_with_the_cleats_between():
    # 300 mm, bars at 100 and 210: 5→100 two of 47.5, 100→210 two of 55, 210→295 two of 42.5.
    found = cleats(300, bars=(Bar(210, 8), Bar(100, 8)))

    assert found.places_mm == (5, 52.5, 155, 252.5, 295)
    assert (found.count, found.spacing_mm, found.notes) == (5, 55, ())


def test_a_bar_at_each_end_leaves_only_what_stands_between():
    # Both ends are held: 96 between the bars in two of 48.
    found = cleats(100, bars=(Bar(2, 8), Bar(98, 8)))

    assert (found.places_mm, found.notes) == ((50,), ("bar_instead",))
    # A bar that meets both cleats of a crack of two: nothing is to be glued.
    assert cleats(20, bars=(Bar(10, 8),)).places_mm == ()
    assert cleats(20, bars=(Bar(10, 8),)).spacing_mm is None


def test_close_steps_that_a_bar_alone_makes_are_not_noted():
    # 5→30 is 25, under the range, but no cleat stands between.
    assert cleats(60, bars=(Bar(30, 8),)).notes == ()


@pytest.mark.parametrize(
    ("size", "thickness", "words"),
    [
        (8, 1.5, ("inside", "inside")), (12, 2.3, ("inside", "inside")),
        (7.9, 1.4, ("outside", "outside")), (12.1, 2.4, ("outside", "outside")),
    ],
)  # fmt: skip
def test_sizes_of_cleats_are_judged_without_doubt(size, thickness, words):
    found = gauges()["cleats"].run({"crack_mm": 100, "size_mm": size, "thickness_mm": thickness})

    verdicts = found["verdicts"]
    assert (verdicts["size_mm"]["word"], verdicts["thickness_mm"]["word"]) == words
    assert found["grain"] == "across_the_crack"


@pytest.mark.parametrize(
    ("bars", "code", "field", "row"),
    [
        ([{"at_mm": 3, "width_mm": 8}, {"at_mm": 101, "width_mm": 8}], "too_big", "at_mm", 2),
        ([{"at_mm": 3, "width_mm": 8}, {"at_mm": 50}], "missing", "width_mm", 2),
        ([{"at_mm": 3, "width_mm": 8}, {"high_mm": 5}], "unknown", "bars", 2),
        ("two", "missing", "bars", None),
        ([{"at_mm": 3, "width_mm": 8}] * 51, "too_many", "bars", None),
    ],
)
def test_a_wrong_bar_is_refused_with_its_row(bars, code, field, row):
    with pytest.raises(GaugeInputError) as refused:
        gauges()["cleats"].run({"crack_mm": 100, "bars": bars})

    assert (refused.value.code, refused.value.field, refused.value.row) == (code, field, row)
    fifty = gauges()["cleats"].run({"crack_mm": 100, "bars": [{"at_mm": 50, "width_mm": 8}] * 50})
    assert fifty["places_mm"] == [5, 95]


def test_cleats_and_cracks_beyond_any_instrument_are_refused():
    for size in (2.9, 50.1):
        with pytest.raises(GaugeInputError, match="size_mm"):
            cleats(300, size_mm=size)
    assert cleats(300, size_mm=3).places_mm[0] == 1.5
    assert cleats(300, size_mm=50).places_mm[0] == 25
    with pytest.raises(GaugeInputError, match="crack_mm"):
        cleats(2000.1)


# Clamps


def test_forces_at_both_ends_of_a_pressure_in_psi():
    # A psi is 6.894757 kPa: 175 and 250 of them on 1000 mm² are 1206.582 and 1723.689 N.
    asked = {"area_mm2": 1000, "pressure_low_psi": 175, "pressure_high_psi": 250}

    found = gauges()["clamp"].run({**asked, "u_area_mm2": 10})

    assert found["force_low_n"] == pytest.approx(1206.582, abs=0.001)
    assert found["force_high_n"] == pytest.approx(1723.689, abs=0.001)
    assert found["u_force_low_n"] == pytest.approx(12.06582, abs=1e-4)
    assert found["pressure_low_mpa"] == pytest.approx(1.206582, abs=1e-6)
    # One kilogram-force is 9.80665 N.
    assert found["force_low_kgf"] == pytest.approx(123.0372, abs=1e-3)
    assert found["force_high_kgf"] == pytest.approx(175.7674, abs=1e-3)
    assert (found["clamps"], found["source"]) == (None, "typed")
    assert gauges()["clamp"].run(asked)["u_force_high_n"] == 0.0


def test_one_pressure_alone_is_both_the_least_and_the_most():
    found = gauges()["clamp"].run({"area_mm2": 500, "pressure_low_mpa": 0.8, "clamp_n": 100})

    assert (found["force_low_n"], found["force_high_n"]) == (400, 400)
    assert (found["pressure_high_mpa"], found["clamps"]) == (0.8, 4)


@pytest.mark.parametrize("wood", ["light", "dense", "contact"])
def test_a_kind_of_wood_brings_its_pressures(wood):
    by_wood = {"light": (700, 1000), "dense": (1200, 1700), "contact": (0, 100)}[wood]

    found = gauges()["clamp"].run({"area_mm2": 1000, "wood": wood})

    assert (found["force_low_n"], found["force_high_n"]) == pytest.approx(by_wood)


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        ({"wood": "light", "pressure_low_psi": 100}, "needs_one",
         "wood, pressure_low_mpa, pressure_low_psi"),
        ({"pressure_high_psi": 100}, "needs_one", "wood, pressure_low_mpa, pressure_low_psi"),
        ({"pressure_low_psi": 100, "pressure_high_psi": 99}, "too_small", "pressure_high_psi"),
        ({"pressure_low_mpa": 10.1}, "too_big", "pressure_low_mpa"),
        # 10 MPa are 1450.4 psi.
        ({"pressure_low_psi": 1451}, "too_big", "pressure_low_psi"),
    ],
)  # fmt: skip
def test_a_wrong_pressure_is_refused_by_its_name(asked, code, field):
    with pytest.raises(GaugeInputError) as refused:
        gauges()["clamp"].run({"area_mm2": 1000, **asked})

    assert (refused.value.code, refused.value.field) == (code, field)
    assert gauges()["clamp"].run({"area_mm2": 1000, "pressure_low_psi": 1450})


def test_forces_that_no_joint_takes_are_refused():
    for area, pressures, clamp_n in (
        (1e6 + 10, (0.1, 0.1), None), (0, (0.1, 0.1), None), (100, (0.2, 0.1), None),
        (100, (-0.1, 0.1), None), (100, (0.1, 10.1), None), (100, (0.1, 0.1), 50_001),
        (100, (0.1, 0.1), 0),
    ):  # fmt: skip
        with pytest.raises(GaugeInputError):
            clamp_force(area, pressures, clamp_n=clamp_n)
    strong = clamp_force(1e6, (10, 10), clamp_n=50_000)
    assert (strong.force_low_n, strong.clamps) == (1e7, 200)
    assert clamp_force(10, (0.5, 0.5), clamp_n=0.5).clamps == 10


def test_psi_up_to_what_can_be_pressed():
    assert kpa_from_psi(0) == 0
    assert math.isclose(kpa_from_psi(100_000), 689_475.7)
    with pytest.raises(GaugeInputError, match="psi"):
        kpa_from_psi(100_100)
