"""The fit of bridge and nut: no wrong tangent bends it, its doubt is honest, references agree."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from repairs.gauges.keys.keyboard import CENTS_PER_E
from repairs.gauges.keys.scalefit import fit_scale
from repairs.gauges.keys.temperament import TEMPERAMENTS

JUST = TEMPERAMENTS["just"]
KEYS = np.arange(1, 24)
WANTED = np.array([JUST.at(int(k)) for k in KEYS])
U = 0.5


def _instrument(bridge_mm=0.0, nut_mm=0.0, length=345.0):
    """Errors in cents from lengths alone: tangents as laid out, bridge and nut where they are."""
    place = length - length / np.array([math.exp(w / CENTS_PER_E) for w in WANTED])
    whole, left = length + bridge_mm - nut_mm, length + bridge_mm - place
    return 1200 * np.log2(whole / left) - WANTED


@settings(deadline=None, max_examples=80, derandomize=True)
@given(
    st.integers(0, 22),
    st.one_of(st.floats(-60, -15), st.floats(15, 60)),
    st.floats(-3, 3),
    st.floats(-2, 2),
    st.integers(0, 10_000),
)
def test_a_single_wrong_tangent_does_not_move_the_scale(which, wrong, bridge, nut, seed):
    # Tangents as a careful maker leaves them, within a cent.
    off = _instrument(bridge, nut) + np.random.default_rng(seed).uniform(-1, 1, 23)
    without = np.delete(np.arange(23), which)
    alone = fit_scale(WANTED[without], off[without], 345.0, U, U)
    off[which] += wrong

    fit = fit_scale(WANTED, off, 345.0, U, U)

    assert alone is not None and fit is not None
    assert set(fit.set_aside) == {which, *without[list(alone.set_aside)].tolist()}
    assert fit.explanation == alone.explanation
    assert (fit.bridge_mm, fit.nut_mm) == pytest.approx((alone.bridge_mm, alone.nut_mm), abs=1e-9)


@pytest.mark.parametrize("bad", [3, 6, 9])
def test_even_several_wrong_tangents_do_not(bad):
    rng = np.random.default_rng(5)
    off = _instrument(1.5) + rng.normal(0, 0.5, 23)
    off[rng.choice(23, bad, replace=False)] += rng.uniform(15, 40, bad)

    fit = fit_scale(WANTED, off, 345.0, U, U)

    assert fit is not None and fit.bridge_mm is not None
    assert fit.bridge_mm == pytest.approx(1.5, abs=0.15)
    assert len(fit.set_aside) >= bad


def test_the_fit_of_clean_data_is_scipys():
    off = _instrument(1.2, -0.7) + np.random.default_rng(2).normal(0, 0.4, 23)
    ratios = np.exp(WANTED / CENTS_PER_E)

    def left(theta):
        t, s = theta
        return off - CENTS_PER_E * np.log((1 + s + t) / (1 + s * ratios))

    reference = least_squares(left, [0, 0], xtol=1e-15, ftol=1e-15, gtol=1e-15)

    fit = fit_scale(WANTED, off, 345.0, U, U)

    assert fit is not None and fit.explanation == "bridge_and_nut" and fit.set_aside == ()
    assert fit.nut_mm == pytest.approx(-345 * reference.x[0], abs=2e-5)
    assert fit.bridge_mm == pytest.approx(345 * reference.x[1], abs=2e-5)


def test_with_outliers_it_is_near_scipys_robust_loss():
    off = _instrument(1.2, -0.7) + np.random.default_rng(3).normal(0, 0.4, 23)
    off[[4, 15]] += (20, -14)
    ratios = np.exp(WANTED / CENTS_PER_E)

    def left(theta):
        t, s = theta
        return (off - CENTS_PER_E * np.log((1 + s + t) / (1 + s * ratios))) / 0.5

    reference = least_squares(left, [0, 0], loss="cauchy", x_scale=0.01)

    fit = fit_scale(WANTED, off, 345.0, U, U)

    assert fit is not None and fit.set_aside == (4, 15)
    assert fit.bridge_mm == pytest.approx(345 * reference.x[1], abs=0.1)


@pytest.mark.parametrize(
    ("bridge", "nut", "explanation"),
    [(0, 0, "right"), (1.5, 0, "bridge"), (0, 1.0, "nut"), (2, -1.5, "bridge_and_nut")],
)
def test_the_right_explanation_mostly_wins_and_its_doubt_is_honest(bridge, nut, explanation):
    rng = np.random.default_rng(11)
    named, pulls = 0, []
    for _ in range(150):
        off = _instrument(bridge, nut) + rng.normal(0, 1.0, 23) + rng.normal(0, 0.5)
        off[rng.integers(23)] += 12
        fit = fit_scale(WANTED, off, 345.0, U, U)
        assert fit is not None
        if fit.explanation == explanation:
            named += 1
            for value, u, true in (
                (fit.bridge_mm, fit.u_bridge_mm, bridge),
                (fit.nut_mm, fit.u_nut_mm, nut),
            ):
                if value is not None and u is not None:
                    pulls.append((value - true) / u)

    assert named >= 0.75 * 150
    if pulls:
        assert np.mean(np.abs(pulls) <= 2) >= 0.90


def test_a_scale_that_is_right_is_seldom_called_surely_wrong():
    rng = np.random.default_rng(12)
    fits = [
        fit_scale(WANTED, rng.normal(0, 1.0, 23) + rng.normal(0, 0.5), 345.0, U, U)
        for _ in range(200)
    ]

    assert np.mean([f is not None and f.scale_wrong_pct >= 95 for f in fits]) <= 0.08
