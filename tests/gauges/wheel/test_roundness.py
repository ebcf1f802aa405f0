"""The limaçons against exhaustive search and linear programming; the proof of each optimum."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.inscribed import circumscribed, inscribed, least_deviation
from repairs.gauges.wheel.roundness import minimum_zone
from tests.gauges.wheel import wheel_reference

places = st.sampled_from([5, 8, 12, 16, 24, 36])


@st.composite
def turns(draw):
    """One turn of readings on a dial of whole divisions, so that ties are common."""
    count = draw(places)
    kept = draw(st.sets(st.integers(0, count - 1), min_size=4, max_size=count))
    readings = draw(
        st.lists(st.integers(-30, 30), min_size=len(kept), max_size=len(kept)).map(np.array)
    )
    theta = np.radians(np.array(sorted(kept)) * 360 / count + draw(st.sampled_from([0, 0.1, 5])))
    return np.cos(theta), np.sin(theta), readings * 0.01


def widest_gap(cos, sin):
    theta = np.sort(np.arctan2(sin, cos))
    return np.diff(theta, append=theta[0] + 2 * math.pi).max()


def inside(turn):
    found = inscribed(*turn)
    assert found is not None
    return found


def zone_by_programming(cos, sin, r):
    basis = np.column_stack([np.ones_like(cos), cos, sin])
    half = np.full((len(r), 1), 0.5)
    found = linprog(
        [0, 0, 0, 1],
        A_ub=np.block([[basis, -half], [-basis, -half]]),
        b_ub=np.concatenate([r, -r]),
        bounds=[(None, None)] * 3 + [(0, None)],
    )
    return found.x[3]


def inscribed_by_programming(cos, sin, r):
    found = linprog(
        [-1, 0, 0],
        A_ub=np.column_stack([np.ones_like(cos), cos, sin]),
        b_ub=r,
        bounds=[(None, None)] * 3,
    )
    return found.x[0] if found.status == 0 else None


@settings(deadline=None, max_examples=150, derandomize=True)
@given(turns())
def test_the_zone_is_that_of_linear_programming(turn):
    assert minimum_zone(*turn).width == pytest.approx(zone_by_programming(*turn), abs=1e-9)


@settings(deadline=None, max_examples=300, derandomize=True)
@given(turns())
def test_four_alternating_readings_hold_the_zone_and_none_is_outside(turn):
    zone = minimum_zone(*turn)

    off = zone.deviations(*turn)

    held = off[list(zone.support)]
    assert len(set(zone.support)) == 4
    assert np.abs(off).max() <= zone.width / 2 + 1e-12
    assert np.abs(held) == pytest.approx(np.full(4, zone.width / 2), abs=1e-12)
    if zone.width > 1e-9:
        assert (np.sign(held) == np.sign(held[0]) * np.array([1, -1, 1, -1])).all()


@settings(deadline=None, max_examples=150, derandomize=True)
@given(turns())
def test_the_inscribed_circle_is_that_of_linear_programming(turn):
    found, wanted = inscribed(*turn), inscribed_by_programming(*turn)

    if found is None:
        assert widest_gap(*turn[:2]) >= math.pi - 1e-6
    else:
        assert found.mean == pytest.approx(wanted, abs=1e-9)


@settings(deadline=None, max_examples=300, derandomize=True)
@given(turns())
def test_three_readings_round_the_centre_hold_the_inscribed_circle(turn):
    found = inscribed(*turn)

    if found is not None:
        off = found.deviations(*turn)
        assert off.min() >= -1e-12
        assert off[list(found.support)] == pytest.approx(np.zeros(3), abs=1e-12)
        assert min(found.weights) >= -1e-9
        assert sum(found.weights) == pytest.approx(1)


@settings(deadline=None, max_examples=200, derandomize=True)
@given(turns())
def test_of_equal_circles_the_one_with_the_least_to_cut_is_taken(turn):
    for found, side in ((inscribed(*turn), 1), (circumscribed(*turn), -1)):
        if found is not None:
            centred = least_deviation(found, *turn)
            off = side * centred.deviations(*turn)
            assert centred.mean == found.mean
            assert off.min() >= -1e-9
            assert off.max() <= (side * found.deviations(*turn)).max() + 1e-12
            assert off.max() == pytest.approx(least_cut(found, side, turn), abs=1e-7)


def least_cut(found, side, turn):
    """The least peak of the circles of that size, by programming: peak t, centre x and y."""
    cos, sin, r = turn
    above = side * (r - found.mean)
    basis = side * np.column_stack([cos, sin])
    zero, one = np.zeros((len(r), 1)), np.ones((len(r), 1))
    best = linprog(
        [0, 0, 1],
        A_ub=np.block([[basis, zero], [-basis, -one]]),
        b_ub=np.concatenate([above + 1e-10, -above]),
        bounds=[(None, None)] * 3,
    )
    return best.x[2]


@pytest.mark.parametrize("seed", range(12))
def test_exhaustive_search_finds_the_same(seed):
    rng = np.random.default_rng(seed)
    theta = np.sort(rng.uniform(0, 2 * math.pi, 14))
    r = rng.normal(0, 0.05, 14)
    turn = np.cos(theta), np.sin(theta), r

    zone = wheel_reference.minimum_zone(theta.tolist(), r.tolist())
    inner = wheel_reference.inscribed(theta.tolist(), r.tolist())

    assert minimum_zone(*turn).width == pytest.approx(zone, abs=1e-12)
    if widest_gap(*turn[:2]) < math.pi:
        assert inside(turn).mean == pytest.approx(inner, abs=1e-12)


def test_a_true_circle_has_no_zone():
    theta = np.radians(np.arange(0, 360, 15))
    turn = np.cos(theta), np.sin(theta), 0.3 * np.cos(theta - 1)

    assert minimum_zone(*turn).width == pytest.approx(0, abs=1e-15)
    assert inside(turn).mean == pytest.approx(0, abs=1e-15)


def test_an_open_half_bounds_no_inscribed_circle():
    theta = np.radians([0, 40, 80, 120, 160])
    turn = np.cos(theta), np.sin(theta), np.array([0.0, 0.1, 0.0, 0.2, 0.1])

    assert inscribed(*turn) is None
    assert circumscribed(*turn) is None


def test_three_readings_hold_no_zone():
    theta = np.radians([0, 120, 240])

    with pytest.raises(GaugeInputError, match="at least 4"):
        minimum_zone(np.cos(theta), np.sin(theta), np.zeros(3))
