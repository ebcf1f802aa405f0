"""What air to ask for, just where one reason gives way to another: worked by hand."""

from __future__ import annotations

import dataclasses
import math

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit
from repairs.gauges.climate.statistics import Band, LogStatistics
from repairs.gauges.climate.target import (
    DEFAULT_LIMITS,
    Glued,
    Part,
    _choose,
    _hard_limits,
    care_target,
    wood_band,
)
from repairs.gauges.wood.moisture import emc, emc_pct, emc_slope
from repairs.gauges.wood.movement import movement
from repairs.gauges.wood.species import Grain, grain

MAPLE = Part("peg box", grain("sugar_maple", "tangential"), 60)
STRAIN = DEFAULT_LIMITS["strain_pct"]
BAND = Band(-8.0, 6.0, 1.5, 2.5, -10.0, 10.0, True, 400)
SEEN = LogStatistics(
    400, 400.0, True, 50.0, 34.0, 66.0, 45.0, 55.0, 30, BAND, 0.0, 0.0, 0.0, None, ("a_note",)
)  # fmt: skip


def seen(**more):
    return dataclasses.replace(SEEN, **more)


@pytest.mark.parametrize(
    ("history", "wood", "proven", "chosen"),
    [
        ((35, 65), (40, 60), True, ("history", 35, 65, ())),
        ((35, 65), None, True, ("history", 35, 65, ())),
        ((35, 65), None, False, ("short_history", 35, 65, ())),
        ((35, 65), (40, 70), False, ("history_and_wood", 40, 65, ())),
        ((35, 65), (30, 60), False, ("history_and_wood", 35, 60, ())),
        (None, (40, 60), False, ("wood", 40, 60, ())),
        (None, (40, 60), True, ("wood", 40, 60, ())),
        ((35, 50), (50, 70), False, ("wood", 50, 70, ("rest_outside_history",))),
        ((35, 50), (49, 70), False, ("history_and_wood", 49, 50, ())),
    ],
)
def test_which_of_history_and_wood_decides(history, wood, proven, chosen):
    assert _choose(history, wood, proven) == chosen


def test_without_history_and_wood_nothing_can_be_asked():
    with pytest.raises(GaugeInputError) as refused:
        _choose(None, None, True)
    assert (refused.value.code, refused.value.field) == ("no_answer", "low_rh_pct")


@pytest.mark.parametrize(
    ("low", "high", "cut"),
    [
        (25, 75, (25, 75, ())), (24.9, 75, (25, 75, ("cut_at_25",))),
        (25, 75.1, (25, 75, ("cut_at_75",))), (20, 80, (25, 75, ("cut_at_25", "cut_at_75"))),
        # Wholly beyond: the end, and ten beside it.
        (10, 20, (25, 35, ("cut_at_25",))), (80, 90, (65, 75, ("cut_at_75",))),
        (30, 34, (30, 35, ())), (66, 70, (65, 70, ())), (65, 70, (65, 70, ())),
    ],
)  # fmt: skip
def test_nothing_is_asked_below_twenty_five_or_above_seventy_five(low, high, cut):
    assert _hard_limits(low, high) == cut


def test_the_history_is_the_season_and_the_band_about_it():
    target = care_target(SEEN)

    assert (target.basis, target.low_rh_pct, target.high_rh_pct) == ("history", 35, 65)
    assert (target.short_low_pct, target.short_high_pct) == (-10, 10)
    assert (target.rest_rh_pct, target.wood_low_pct, target.wood_high_pct) == (50, None, None)
    assert (target.parts, target.notes) == ((), ("a_note",))
    # Hygrometer 2, and the greater doubt of both percentiles: √(4 + 6.25).
    assert target.u_edge_pct == pytest.approx(3.201562)
    # Without a part nobody knows whether anything is held.
    assert target.driest.risk == "not_judged"


@pytest.mark.parametrize(
    ("p7", "p93", "u"),
    [
        (1.5, 2.5, math.hypot(2, 2.5)),
        (3.0, 2.5, math.hypot(2, 3)),
        (math.nan, 2.5, math.hypot(2, 2.5)),
        (math.nan, math.nan, 2.0),
    ],
)
def test_the_doubt_of_the_history_is_that_of_its_less_sure_end(p7, p93, u):
    band = dataclasses.replace(BAND, u_p7_pct=p7, u_p93_pct=p93)

    assert care_target(seen(band=band)).u_edge_pct == pytest.approx(u)


def test_the_doubt_of_the_wood_alone_and_of_both():
    # 0.4 % strain of C 0.00353, trees 15 %: 0.004/0.00353·0.15 = 0.169972 % of moisture, by the
    # slope at 50 % RH. A wider limit above counts with its greater end.
    by_wood = 0.004 / 0.00353 * 0.15 / emc_slope(20, 50)

    wood = care_target(seen(band=None), (MAPLE,))
    both = care_target(SEEN, (MAPLE,), since=Glued(50))

    assert (wood.basis, both.basis) == ("wood", "history_and_wood")
    assert wood.u_edge_pct == pytest.approx(math.hypot(2, by_wood))
    assert both.u_edge_pct == pytest.approx(math.hypot(2, 2.5, by_wood))
    wide = care_target(
        seen(band=None), (MAPLE,), u_rh_pct=0,
        held_to={**DEFAULT_LIMITS, "strain_pct": Limit(-0.2, 0.6, "%")},
    )  # fmt: skip
    assert wide.u_edge_pct == pytest.approx(1.5 * by_wood)
    open_above = care_target(
        seen(band=None), (MAPLE,), u_rh_pct=0,
        held_to={**DEFAULT_LIMITS, "strain_pct": Limit(-0.4, None, "%")},
    )  # fmt: skip
    assert open_above.u_edge_pct == pytest.approx(by_wood)


@pytest.mark.parametrize("missing", ["band", "season_low_pct", "season_high_pct"])
def test_a_record_without_a_whole_month_is_no_history(missing):
    assert care_target(seen(**{missing: None}, complete=False), (MAPLE,)).basis == "wood"


def test_the_ends_of_the_wood():
    rest = emc_pct(20, 50)

    low, high = wood_band((MAPLE,), 50, 20, STRAIN)
    assert (emc_pct(20, low), emc_pct(20, high)) == pytest.approx(
        (rest - 0.004 / 0.00353, rest + 0.004 / 0.00353)
    )
    # An open end is the end of the air; so is a strain that no air brings.
    assert wood_band((MAPLE,), 50, 20, Limit(None, 0.4, "%")) == pytest.approx((0.0, high))
    assert wood_band((MAPLE,), 50, 20, Limit(-0.4, None, "%")) == pytest.approx((low, 100.0))
    # 9.27 % of moisture are 3.27 % of strain: 3.2 leaves something, 3.3 does not.
    assert 0 < wood_band((MAPLE,), 50, 20, Limit(-3.2, 9.0, "%"))[0] < 3
    assert wood_band((MAPLE,), 50, 20, Limit(-3.3, 9.0, "%")) == (0.0, 100.0)
    # Of two parts the one that moves most.
    spruce = Part("plate", grain("engelmann_spruce", "radial"), 180)
    assert wood_band((spruce, MAPLE), 50, 20, STRAIN) == pytest.approx((low, high))


def test_each_part_is_told_at_both_edges():
    target = care_target(SEEN, (MAPLE, Part("plate", Grain(0.0013, 3.8, 0.15, "", False), 180)))

    assert [(p.part, p.edge) for p in target.parts] == [
        ("peg box", "low"), ("peg box", "high"), ("plate", "low"), ("plate", "high"),
    ]  # fmt: skip
    first, low = emc(20, 50), emc(20, 35)
    # The change between rest and edge, with only the hygrometer's doubt at both ends.
    u_mc = 2.0 * math.hypot(first.slope_pct_per_pct, low.slope_pct_per_pct) / math.sqrt(2)
    moved = movement(60, MAPLE.wood, first.emc_pct, low.emc_pct, u_mc_pct=u_mc)
    edge = target.parts[0]
    assert (edge.change_mm, edge.u_change_mm) == pytest.approx((moved.change_mm, moved.u_change_mm))
    assert edge.verdict.value == pytest.approx(100 * moved.change_mm / 60)
    # Drying pulls, damp presses; 60·0.00353·(7.0 − 9.27) is half a millimetre.
    assert edge.change_mm == pytest.approx(60 * 0.00353 * (emc_pct(20, 35) - emc_pct(20, 50)))
    assert target.parts[1].change_mm > 0 > edge.change_mm
    assert [p.verdict.word for p in target.parts] == ["outside", "outside", "doubtful", "doubtful"]


def test_the_driest_hour_is_held_against_where_the_wood_rests():
    target = care_target(seen(least_rh_pct=24.0), (MAPLE,), since=Glued(60))

    assert (target.rest_rh_pct, target.driest.drop_rh_pct) == (60, 36)
    assert (target.driest.risk, target.driest.below_25) == ("becoming_probable", True)
    assert target.driest.u_drop_rh_pct == pytest.approx(2 * math.sqrt(2))
    told = care_target(
        seen(least_rh_pct=24.0), (MAPLE,), since=Glued(60), u_rh_pct=1,
        held_to={**DEFAULT_LIMITS, "drop_rh_pct": Limit(None, 60.0, "%")},
    )  # fmt: skip
    assert told.driest.risk == "unlikely"
    assert told.driest.u_drop_rh_pct == pytest.approx(2**0.5)
    # A record of thirteen months says nothing once a crack was glued.
    assert (care_target(SEEN, (MAPLE,)).basis, target.basis) == ("history", "history_and_wood")
