"""Movement, crack closing and drying risk: there and back, worked by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.wood import movement as module
from repairs.gauges.wood.closing import Air, crack_closing, drying_risk
from repairs.gauges.wood.moisture import emc_pct
from repairs.gauges.wood.movement import (
    change_mm,
    linear_change_mm,
    movement,
    shrinkage_change_mm,
)
from repairs.gauges.wood.species import (
    SPECIES,
    Grain,
    coefficient_from_shrinkage,
    grain,
    shrinkage_from_coefficient,
)


def typed(c):
    return Grain(c, shrinkage_from_coefficient(c), 0.15, "typed", False)


# Species


def test_tangential_moves_more_than_radial_in_every_wood():
    for name, wood in SPECIES.items():
        if wood.s_t_pct or wood.c_t:
            assert grain(name, "tangential").c_per_pct > grain(name, "radial").c_per_pct
            assert wood.source


def test_a_wood_without_figures_gives_no_answer():
    with pytest.raises(GaugeInputError, match="no shrinkage is known for boxwood"):
        grain("boxwood", "radial")


def test_rings_at_45_degrees_move_midway():
    c = grain("engelmann_spruce", ring_angle_deg=45).c_per_pct

    assert c == pytest.approx((0.00130 + 0.00248) / 2)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(s=st.floats(0.05, 29.9))
def test_shrinkage_and_coefficient_lead_to_each_other(s):
    assert shrinkage_from_coefficient(coefficient_from_shrinkage(s)) == pytest.approx(s)


# Movement


@settings(deadline=None, max_examples=60, derandomize=True)
@given(s=st.floats(0.5, 15), first=st.floats(0, 30), last=st.floats(0, 30))
def test_there_and_back_is_no_change(s, first, last):
    there = 100 + shrinkage_change_mm(100, s, first, last)

    assert there + shrinkage_change_mm(there, s, last, first) == pytest.approx(100)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(s=st.floats(0.5, 15), first=st.floats(6, 14), last=st.floats(6, 14))
def test_both_equations_agree_near_ten_per_cent(s, first, last):
    linear = linear_change_mm(100, coefficient_from_shrinkage(s), first, last)
    exact = shrinkage_change_mm(100, s, first, last)

    # They differ by the factor (K + 10)/(K + M_I), K = 3000/S − 30 >= 170: 4/174 at most.
    assert exact == pytest.approx(linear, rel=4 / 174 + 1e-9, abs=1e-12)


def test_the_equation_follows_the_moistures():
    wood = grain("norway_spruce", "radial")

    assert movement(100, wood, 8, 12).equation == "linear"
    assert movement(100, wood, 5, 12).equation == "shrinkage"
    assert movement(100, wood, 35, 30).change_mm == 0.0


def test_uncertainty_of_movement_by_hand():
    # 100 mm, C 0.002, 8 → 12 %: 0.8 mm. Trees 15 %: 0.12. Each moisture 0.5 %: 0.1 mm.
    # √(0.12² + 0.1² + 0.1²) = √0.0344 = 0.18547.
    got = movement(100, typed(0.002), 8, 12)

    assert got.change_mm == pytest.approx(0.8)
    assert got.u_change_mm == pytest.approx(0.18547, abs=1e-4)
    assert got.strain_pct == pytest.approx(0.8)


def test_movement_by_humidity_and_by_moisture_agree():
    by_rh = gauges()["movement"].run(
        {"width_mm": 180, "species": "engelmann_spruce", "direction": "radial",
         "from_rh_pct": 50, "to_rh_pct": 30}
    )  # fmt: skip

    # 180·0.0013·(9.2711 − 6.1882) = 0.7214, and drying shrinks.
    assert by_rh["change_mm"] == pytest.approx(-0.7214, abs=1e-3)
    assert by_rh["strain_pct"] == pytest.approx(-0.40, abs=0.005)


@pytest.mark.parametrize("edge", [6.0, 14.0])
@pytest.mark.parametrize("other", [2.0, 6.5, 10.0, 13.5, 22.0])
def test_no_step_where_the_linear_range_ends(edge, other):
    """Found by it: at 14 % the change of flat-sawn beech jumped by 2 %."""
    wood = grain("american_beech", "tangential")
    below, above = (change_mm(300, wood, other, edge + d) for d in (-1e-9, 1e-9))
    from_below, from_above = (change_mm(300, wood, edge + d, other) for d in (-1e-9, 1e-9))

    assert above == pytest.approx(below, abs=1e-6)
    assert from_above == pytest.approx(from_below, abs=1e-6)


@settings(deadline=None, max_examples=80, derandomize=True)
@given(first=st.floats(0, 29), last=st.floats(0, 29), more=st.floats(0.001, 1), s=st.floats(1, 15))
def test_damper_wood_is_always_larger(first, last, more, s):
    wood = Grain(coefficient_from_shrinkage(s), s, 0.15, "", False)

    assert change_mm(200, wood, first, last + more) > change_mm(200, wood, first, last)


def test_within_the_range_it_is_the_one_equation_and_two_per_cent_beyond_the_other():
    wood = grain("norway_spruce", "radial")

    for first, last in ((6, 14), (14, 6), (8, 12)):
        assert change_mm(90, wood, first, last) == linear_change_mm(90, wood.c_per_pct, first, last)
    for first, last in ((4, 10), (10, 16), (3, 20), (18, 25)):
        assert change_mm(90, wood, first, last) == shrinkage_change_mm(90, wood.s_pct, first, last)
    both = linear_change_mm(90, wood.c_per_pct, 10, 15), shrinkage_change_mm(90, wood.s_pct, 10, 15)
    assert change_mm(90, wood, 10, 15) == pytest.approx(sum(both) / 2)


# Crack closing


def test_hysteresis_is_one_draw_for_both_ends():
    """Independent by simulation: one isotherm off by up to 1 % moisture, hygrometers read twice."""
    rng, n = np.random.default_rng(5), 20_000
    wood, air = typed(0.0013), Air(20, 32, 20, 50)
    off, tree = rng.uniform(-1, 1, n), 1 + 0.15 * rng.standard_normal(n)
    rh = [at + 2 * rng.standard_normal(n) for at in (32, 50)]
    t_c = [20 + 0.5 * rng.standard_normal(n) for _ in rh]
    first, last = (emc_pct(t, h) + off for t, h in zip(t_c, rh, strict=True))

    closing = 180 * 0.0013 * tree * (last - first)

    assert crack_closing(180, wood, air).u_closing_mm == pytest.approx(closing.std(), rel=0.04)


def test_a_crack_that_closes_and_one_that_does_not():
    # 180 mm of C 0.0013 from 30 to 50 % close 0.7214 mm. Trees give 0.15·0.7214 = 0.108. The
    # isotherm of this wood is one draw for both ends and cancels; 2 % RH at each end by the slopes
    # 0.154 and 0.161 and the thermometers give 180·0.0013·0.452 = 0.106: u = 0.151.
    wood, air = typed(0.0013), Air(20, 30, 20, 50)

    narrow = crack_closing(180, wood, air, gap_mm=0.2)
    middling = crack_closing(180, wood, air, gap_mm=0.7)
    wide = crack_closing(180, wood, air, gap_mm=1.5)

    assert narrow.u_closing_mm == pytest.approx(0.151, abs=0.002)
    assert [c.verdict and c.verdict.word for c in (narrow, middling, wide)] == [
        "inside",
        "doubtful",
        "outside",
    ]
    assert wide.left_mm == pytest.approx(0.7786, abs=1e-3)


@settings(deadline=None, max_examples=40, derandomize=True)
@given(
    gap=st.floats(0.01, 1.5), width=st.floats(60, 300), rh=st.floats(15, 55),
    s=st.floats(2, 12),
)  # fmt: skip
def test_at_the_humidity_that_closes_it_nothing_is_left(gap, width, rh, s):
    wood = Grain(coefficient_from_shrinkage(s), s, 0.15, "", False)
    closes = crack_closing(width, wood, Air(20, rh, 20, rh), gap_mm=gap).rh_to_close_pct
    if closes is None:
        return

    left = crack_closing(width, wood, Air(20, rh, 20, closes), gap_mm=gap).left_mm

    assert left == pytest.approx(0.0, abs=1e-9)


def test_no_air_closes_a_gap_as_wide_as_the_wood():
    wood = typed(0.0013)

    assert crack_closing(100, wood, Air(20, 30, 20, 50), gap_mm=20).rh_to_close_pct is None


# Drying


@pytest.mark.parametrize(
    ("used_to", "to", "held", "risk"),
    [
        (50, 45, True, "unlikely"),
        (50, 27, True, "becoming_probable"),  # a drop of 23 ± 2.8 may be 25
        (60, 25, True, "becoming_probable"),
        (80, 25, True, "probable"),
        (50, 55, True, "no_drying"),
        (60, 25, False, "free"),
        (60, 25, None, "not_judged"),
        (None, 25, True, "not_judged"),
    ],
)
def test_the_risk_of_one_drop(used_to, to, held, risk):
    assert drying_risk(used_to, to, held=held).risk == risk


def test_very_dry_air_is_said_even_where_the_drop_is_not_judged():
    assert drying_risk(None, 22, held=None).below_25
    assert "Michalski" in drying_risk(60, 25, held=True).source


# Bad input


@pytest.mark.parametrize(
    ("change", "code", "named"),
    [
        ({"species": "marshmallow"}, "unknown", "sitka_spruce"),
        ({"direction": "sideways"}, "unknown", "tangential"),
        ({"width_mm": -5}, "too_small", "width_mm"),
        ({"width_mm": 10_000}, "too_big", "width_mm"),
        ({"width_mm": "wide"}, "not_a_number", "width_mm"),
        ({"from_mc_pct": 8}, "needs_one", "from_mc_pct, from_rh_pct"),
        ({"c_per_pct": 0.002}, "needs_one", "c_per_pct"),
        ({"widht_mm": 5}, "unknown", "widht_mm"),
    ],
)
def test_bad_input_is_refused_by_name(change, code, named):
    good = {"width_mm": 180, "species": "sitka_spruce", "direction": "radial",
            "from_rh_pct": 50, "to_rh_pct": 30}  # fmt: skip

    with pytest.raises(GaugeInputError, match=named) as refused:
        gauges()["movement"].run({**good, **change})

    assert refused.value.code == code


GOLDEN = ["movement 2", -1.067761807, -3.161094225, 0.837676541, 0.175757415]


def test_figures_change_only_with_the_version():
    wood = {"species": "norway_spruce", "direction": "radial", "width_mm": 200}
    linear = gauges()["movement"].run({**wood, "from_mc_pct": 12, "to_mc_pct": 8})
    exact = gauges()["movement"].run({**wood, "from_mc_pct": 20, "to_mc_pct": 8})
    crack = gauges()["crack_closing"].run(
        {**wood, "t_c": 20, "from_rh_pct": 35, "to_rh_pct": 55, "gap_mm": 0.5}
    )
    got = [
        module.VERSION,
        round(linear["change_mm"], 9),
        round(exact["change_mm"], 9),
        round(crack["closing_mm"], 9),
        round(crack["u_closing_mm"], 9),
    ]

    assert got == GOLDEN
