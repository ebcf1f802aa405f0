"""Circles in a plane against NIST's reference pairs, published figures and other programs."""

from __future__ import annotations

import circle_fit  # type: ignore[import-untyped]
import numpy as np
import pytest
from scipy.optimize import least_squares as solver
from scipy.optimize import minimize

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.circles import (
    circumscribed_circle,
    inscribed_circle,
    least_squares,
    zone_circle,
)
from tests.gauges.wheel.wheel_shapes import published


def rows(subject):
    return [
        pytest.param(row, id=f"{subject}-{number}-{row['source'][:40]}")
        for number, row in enumerate(published(subject))
    ]


def points(row):
    return np.array(row["inputs"]["points"], dtype=float).T


@pytest.mark.parametrize("row", rows("roundness.lsc.nist"))
def test_nist_least_squares(row):
    found = least_squares(*points(row))

    for name, value in (("a", found.x), ("b", found.y), ("diameter", 2 * found.radius)):
        assert value == pytest.approx(row["expected"][name], abs=row["tolerance"])


@pytest.mark.parametrize("row", rows("roundness.lsc.cartesian"))
def test_the_six_points_of_gander_golub_and_strebel(row):
    found = least_squares(*points(row))

    for name, value in (("a", found.x), ("b", found.y), ("R", found.radius)):
        assert value == pytest.approx(row["expected"][name], abs=row["tolerance"])


@pytest.mark.parametrize("row", rows("roundness.values"))
def test_roundness_about_all_four_circles(row):
    x, y = points(row)
    gauss = least_squares(x, y)
    off = np.hypot(x - gauss.x, y - gauss.y) - gauss.radius

    found = {
        "RONt_LSCI": gauss.roundness,
        "RONp": off.max(),
        "RONv": -off.min(),
        "RONq": np.sqrt((off**2).mean()),
        "RONt_MZCI": zone_circle(x, y).roundness,
        "R_MCCI": circumscribed_circle(x, y).radius,
        "R_MICI": inside(x, y).radius,
    }

    assert found == pytest.approx(row["expected"], abs=row["tolerance"])


def inside(x, y):
    found = inscribed_circle(x, y)
    assert found is not None
    return found


def ring(seed, count=20, radius=80.0):
    rng = np.random.default_rng(seed)
    theta = np.arange(count) * 2 * np.pi / count
    r = radius + 0.3 * np.cos(theta - 1) + 0.05 * np.cos(2 * theta) + rng.normal(0, 0.01, count)
    return r * np.cos(theta), r * np.sin(theta)


@pytest.mark.parametrize("seed", range(5))
def test_other_programs_fit_the_same_circle(seed):
    x, y = ring(seed)

    found = least_squares(x, y)
    a, b, radius, _spread = circle_fit.standardLSQ(np.column_stack([x, y]))
    fitted = solver(
        lambda p: np.hypot(x - p[0], y - p[1]) - p[2], [0, 0, 80], xtol=1e-15, ftol=1e-15
    ).x

    assert (found.x, found.y, found.radius) == pytest.approx((a, b, radius), abs=1e-6)
    assert (found.x, found.y, found.radius) == pytest.approx(fitted, abs=1e-6)


@pytest.mark.parametrize("seed", range(5))
def test_no_simplex_search_finds_a_better_centre(seed):
    x, y = ring(seed)

    def radii(centre):
        return np.hypot(x - centre[0], y - centre[1])

    def searched(goal):
        start = least_squares(x, y)
        options = {"xatol": 1e-12, "fatol": 1e-14, "maxiter": 4000}
        return minimize(goal, [start.x, start.y], method="Nelder-Mead", options=options).fun

    narrowest = searched(lambda centre: np.ptp(radii(centre)))
    largest = -searched(lambda centre: -radii(centre).min())
    smallest = searched(lambda centre: radii(centre).max())
    assert zone_circle(x, y).roundness == pytest.approx(narrowest, abs=1e-9)
    assert inside(x, y).radius == pytest.approx(largest, abs=1e-9)
    assert circumscribed_circle(x, y).radius == pytest.approx(smallest, abs=1e-9)


def test_two_points_can_hold_the_circumscribed_circle():
    x, y = np.array([-5.0, 5.0, 0.0, 0.0]), np.array([0.0, 0.0, 4.0, -3.0])

    found = circumscribed_circle(x, y)

    assert (found.x, found.y, found.radius) == (0, 0, 5)
    assert found.roundness == pytest.approx(2)


def test_an_arc_bounds_no_inscribed_circle():
    theta = np.linspace(0, 2, 9)

    assert inscribed_circle(10 * np.cos(theta), 10 * np.sin(theta)) is None


def test_points_in_a_line_have_no_circle():
    with pytest.raises(GaugeInputError, match="stand in a line"):
        least_squares(np.arange(5.0), np.arange(5.0))


def test_two_points_have_no_least_squares_circle():
    with pytest.raises(GaugeInputError, match="needs at least 3"):
        least_squares(np.arange(2.0), np.arange(2.0))
