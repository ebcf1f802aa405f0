"""How each wood shrinks: its direction, its ring angle, what is printed and what is recalled."""

from __future__ import annotations

import math

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wood.species import (
    coefficient_from_shrinkage,
    grain,
    grain_of,
    shrinkage_from_coefficient,
)


@pytest.mark.parametrize(
    ("species", "direction", "c", "s", "recalled"),
    [
        # Both are printed for Engelmann spruce, and both were recalled.
        ("engelmann_spruce", "radial", 0.00130, 3.8, True),
        ("engelmann_spruce", "tangential", 0.00248, 7.1, True),
        ("sugar_maple", "radial", 0.00165, 4.8, True),
        ("black_cherry", "tangential", 0.00248, 7.1, False),
        # Only the shrinkage: 1/(3000/4.2 − 20) = 1/694.286; 1/(3000/8.8 − 20) = 1/320.909.
        ("maple", "radial", 1 / 694.28571, 4.2, False),
        ("maple", "tangential", 1 / 320.90909, 8.8, False),
        # Only the coefficient: 3000/(1/0.00137 + 20) = 3000/749.927; 3000/(346.021 + 20).
        ("red_maple", "radial", 0.00137, 4.000389, False),
        ("red_maple", "tangential", 0.00289, 8.196257, False),
        # Along the grain 0.15 % in all: 1/(20 000 − 20).
        ("boxwood", "longitudinal", 1 / 19_980, 0.15, False),
    ],
)
def test_a_wood_moves_as_printed_or_as_the_relation_says(species, direction, c, s, recalled):
    found = grain(species, direction)

    assert found.c_per_pct == pytest.approx(c, rel=1e-6)
    assert found.s_pct == pytest.approx(s, rel=1e-5)
    assert found.from_memory is recalled


def test_trees_differ_by_fifteen_parts_of_a_hundred_and_along_the_grain_by_more():
    # From 0.1 to 0.2 %, rectangular: 0.05/√3 = 0.028868, of 0.15.
    assert grain("maple", "radial").u_rel == 0.15
    assert grain("maple", "tangential").u_rel == 0.15
    assert grain("maple", ring_angle_deg=30).u_rel == 0.15
    assert grain("maple", "longitudinal").u_rel == pytest.approx(0.192450, abs=1e-6)


def test_the_ring_angle_goes_from_radial_to_tangential():
    # At 30° three quarters of the one and one of the other: 0.75·0.00130 + 0.25·0.00248.
    between = grain("engelmann_spruce", ring_angle_deg=30)

    assert between.c_per_pct == pytest.approx(0.001595)
    assert between.s_pct == pytest.approx(3000 / (1 / 0.001595 + 20))
    assert between.from_memory
    assert grain("engelmann_spruce", ring_angle_deg=0) == grain("engelmann_spruce", "radial")
    assert grain("engelmann_spruce", ring_angle_deg=90) == grain("engelmann_spruce", "tangential")


@pytest.mark.parametrize(
    ("asked", "given"),
    [({}, "0"), ({"direction": "radial", "ring_angle_deg": 0.0}, "2")],
)
def test_a_direction_or_a_ring_angle_and_not_both(asked, given):
    with pytest.raises(GaugeInputError) as refused:
        grain("maple", **asked)

    assert (refused.value.code, refused.value.field) == ("needs_one", "direction, ring_angle_deg")
    assert refused.value.details["value"] == given


@pytest.mark.parametrize("species", ["boxwood"])
@pytest.mark.parametrize("asked", [{"direction": "tangential"}, {"ring_angle_deg": 45}])
def test_a_wood_whose_shrinkage_is_not_known_is_named(species, asked):
    with pytest.raises(GaugeInputError) as refused:
        grain(species, **asked)

    assert (refused.value.code, refused.value.field) == ("no_answer", "species")
    assert "boxwood" in refused.value.sentence()


@pytest.mark.parametrize("angle", [-0.1, 90.1])
def test_a_ring_angle_beyond_a_quarter_turn_is_refused(angle):
    with pytest.raises(GaugeInputError, match="ring_angle_deg"):
        grain("maple", ring_angle_deg=angle)


@pytest.mark.parametrize("value", [0, -0.001])
def test_wood_that_does_not_shrink_is_a_wrong_figure(value):
    for read, field in (
        (coefficient_from_shrinkage, "shrinkage_pct"),
        (shrinkage_from_coefficient, "c_per_pct"),
    ):
        with pytest.raises(GaugeInputError) as refused:
            read(value)
        assert (refused.value.code, refused.value.field) == ("not_positive", field)


def test_thirty_per_cent_is_the_most_that_wood_shrinks():
    # 1/(3000/30 − 20) = 1/80 = 0.0125, and back.
    assert coefficient_from_shrinkage(30) == pytest.approx(0.0125)
    assert shrinkage_from_coefficient(0.0125) == pytest.approx(30.0)
    for read, value in ((coefficient_from_shrinkage, 30.1), (shrinkage_from_coefficient, 0.01251)):
        with pytest.raises(GaugeInputError) as refused:
            read(value)
        assert refused.value.code == "too_big"


def test_small_figures_are_figures_too():
    # 1/(3000/0.5 − 20) = 1/5980, and 3000/(1/0.0001 + 20) = 3000/10 020.
    assert coefficient_from_shrinkage(0.5) == pytest.approx(1 / 5980)
    assert shrinkage_from_coefficient(0.0001) == pytest.approx(0.2994012)


def test_a_typed_coefficient_or_shrinkage_stands_for_the_wood():
    by_c, by_s = grain_of({"c_per_pct": 0.002}), grain_of({"shrinkage_pct": 3.0})

    # 3000/(500 + 20), and 1/(1000 − 20).
    assert (by_c.c_per_pct, by_c.s_pct) == pytest.approx((0.002, 5.7692308))
    assert (by_s.c_per_pct, by_s.s_pct) == pytest.approx((1 / 980, 3.0))
    for typed in (by_c, by_s):
        assert (typed.u_rel, typed.source, typed.from_memory) == (0.15, "typed", False)


def test_a_species_is_read_with_its_direction_or_its_angle():
    assert grain_of({"species": "maple", "direction": "radial"}) == grain("maple", "radial")
    angle = grain_of({"species": "maple", "direction": "", "ring_angle_deg": 90})
    assert angle == grain("maple", "tangential")
    assert angle.c_per_pct == pytest.approx(grain("maple", ring_angle_deg=90).c_per_pct)
    assert math.isclose(angle.s_pct, 8.8)


@pytest.mark.parametrize(
    ("data", "count"), [({}, 0), ({"species": "maple", "c_per_pct": 0.002, "shrinkage_pct": 3}, 3)]
)
def test_one_way_to_tell_the_wood_and_not_two(data, count):
    with pytest.raises(GaugeInputError) as refused:
        grain_of(data, row=4)

    assert (refused.value.code, refused.value.row) == ("needs_one", 4)
    assert refused.value.field == "species, c_per_pct, shrinkage_pct"
    assert refused.value.details["value"] == count
