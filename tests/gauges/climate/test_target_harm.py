"""Air that has done harm vouches for nothing, and what an owner is handed stays cautious."""

from __future__ import annotations

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit
from repairs.gauges.climate.statistics import DAY_S, statistics
from repairs.gauges.climate.target import DEFAULT_LIMITS, Glued, Harm, Part, care_target, for_owner
from repairs.gauges.everything import gauges
from repairs.gauges.wood.species import grain

CAUTIOUS = DEFAULT_LIMITS["owner_rh_pct"]
SPRUCE = Part("soundboard", grain("engelmann_spruce", "radial"), 180)
MAPLE = Part("peg box", grain("sugar_maple", "tangential"), 60)


def of_a_house(winter, summer, days=800):
    """Two years of a house, from the first of January on, at two humidities."""
    day = np.datetime64("2023-01-01") + np.arange(days)
    month = day.astype("datetime64[M]").astype(int) % 12 + 1
    rh = np.where((month >= 4) & (month <= 9), summer, winter).astype(float)
    return day, rh


def seen_in(winter, summer):
    day, rh = of_a_house(winter, summer)
    return statistics(day.astype("datetime64[D]").astype(np.int64) * DAY_S, rh)


def test_a_crack_that_the_air_made_forbids_the_history():
    # A record from 30 to 60 %: without harm it may go on from 25 to 70; it has cracked a table
    # that was whole at 48.
    seen = seen_in(30.0, 60.0)

    unharmed = care_target(seen, (SPRUCE,))
    harmed = care_target(seen, (SPRUCE,), since=Harm(48.0))

    assert (unharmed.basis, unharmed.low_rh_pct) == ("history", 25.0)
    assert harmed.basis == "where_whole"
    assert (harmed.rest_rh_pct, harmed.low_rh_pct, harmed.high_rh_pct) == (48, 43, 53)
    assert (harmed.winter, harmed.summer) == (None, None)
    assert harmed.notes[0] == "air_did_harm"
    assert harmed.owner == (45, 53)


def test_where_it_was_whole_nobody_knows():
    target = care_target(seen_in(30.0, 60.0), since=Harm())

    assert (target.basis, target.low_rh_pct, target.high_rh_pct) == ("cautious", 45, 55)


def test_tight_wood_narrows_the_band_about_where_it_was_whole():
    wide = {**DEFAULT_LIMITS, "owner_rh_pct": Limit(35.0, 65.0, "%")}
    alone = care_target(seen_in(30.0, 60.0), (MAPLE,), since=Harm(50.0), held_to=wide)

    # Flat-sawn maple strains by 0.4 % at 42.7 and 56.7 % RH (test_climate_target.py).
    assert (alone.low_rh_pct, alone.high_rh_pct) == pytest.approx((42.7, 56.7), abs=0.1)
    assert all(part.verdict.word != "outside" for part in alone.parts)


def test_once_it_is_glued_the_glue_decides_where_the_wood_rests():
    glued = care_target(seen_in(30.0, 60.0), (SPRUCE,), since=Glued(50))

    assert (glued.basis, glued.rest_rh_pct) == ("history_and_wood", 50)


def test_winter_and_summer_are_two_bands():
    target = care_target(seen_in(40.0, 58.0))

    assert target.winter is not None and target.summer is not None
    assert (target.low_rh_pct, target.winter[0]) == pytest.approx((30, 30))
    assert (target.high_rh_pct, target.summer[1]) == pytest.approx((68, 68))
    # About the change the average lies half way: winter ends at 40 + 18·15/31 + 10.
    assert target.winter[1] == pytest.approx(40 + 18 * 15 / 31 + 10, abs=0.1)
    assert target.winter[1] < target.high_rh_pct and target.summer[0] > target.low_rh_pct
    assert (target.owner, target.owner_winter, target.owner_summer) == ((45, 55),) * 3
    # A house that is damp in summer: the whole cautious band in winter, its upper part then.
    steady = care_target(seen_in(48.0, 66.0))
    assert steady.owner_winter == (45, 55)
    assert steady.owner_summer is not None
    assert steady.owner_summer == pytest.approx((48 + 18 * 16 / 31 - 10, 55), abs=0.2)


@pytest.mark.parametrize(
    ("band", "handed"),
    [
        ((25, 75), (45, 55)),
        ((47, 53), (47, 53)),
        ((40, 51), (45, 51)),
        ((52, 54), (52, 54)),
        # Used to damp or dry air: its own, but no wider than the cautious band.
        ((58, 75), (58, 68)),
        ((53, 70), (53, 63)),
        ((25, 46), (36, 46)),
        ((30, 38), (30, 38)),
    ],
)
def test_an_owner_is_never_handed_more_than_the_cautious_band(band, handed):
    assert for_owner(band, CAUTIOUS) == handed
    assert for_owner(None, CAUTIOUS) is None


@pytest.mark.parametrize("seed", range(5))
def test_whatever_the_record_no_handed_band_is_wider(seed):
    rng = np.random.default_rng(seed)
    for _ in range(40):
        low, width = rng.uniform(25, 70), rng.uniform(0.1, 50)
        got = for_owner((low, min(low + width, 75.0)), CAUTIOUS)
        assert got is not None
        assert got[0] >= low and got[1] <= low + width
        assert 0 <= got[1] - got[0] <= 10 + 1e-9


def ask(**more):
    rows = [[str(day), rh] for day, rh in zip(*of_a_house(38, 56, 60), strict=True)]
    return gauges()["climate_log"].run({"rows": rows, **more})["target"]


def test_the_house_sets_its_own_cautious_band():
    own = {"owner_rh_pct": {"lower": 40, "upper": 48}}

    assert ask(limits=own)["owner"] == [40, 48]
    assert ask(air_did_harm=True, limits=own)["rest_rh_pct"] == 44


@pytest.mark.parametrize(
    ("more", "code", "field"),
    [
        ({"whole_at_rh_pct": 50}, "contradicts", "whole_at_rh_pct"),
        ({"air_did_harm": True, "whole_at_rh_pct": 101}, "too_big", "whole_at_rh_pct"),
        ({"air_did_harm": True, "whole_at_rh_pct": -3}, "too_small", "whole_at_rh_pct"),
        ({"air_did_harm": True, "whole_at_rh_pct": "damp"}, "not_a_number", "whole_at_rh_pct"),
        ({"air_did_harm": "yes"}, "unknown", "air_did_harm"),
    ],
)
def test_harm_that_contradicts_itself_is_refused(more, code, field):
    with pytest.raises(GaugeInputError) as refused:
        ask(**more)

    assert (refused.value.code, refused.value.field) == (code, field)
