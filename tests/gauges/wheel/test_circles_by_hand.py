"""Circles through points whose circles can be seen; how few points each of them needs."""

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.circles import (
    circumscribed_circle,
    inscribed_circle,
    least_squares,
    zone_circle,
)

ALL = (least_squares, zone_circle, inscribed_circle, circumscribed_circle)


def at(*points):
    x, y = np.array(points, dtype=float).T
    return x, y


@pytest.mark.parametrize("circle", ALL)
def test_points_of_one_circle_are_on_every_circle(circle):
    # Centre (3, −2), radius 5: the points of the 3-4-5 triangle round it.
    found = circle(*at((8, -2), (6, 2), (3, 3), (-2, -2), (0, -6), (3, -7), (7, -5)))

    assert (found.x, found.y, found.radius) == pytest.approx((3, -2, 5))
    assert found.roundness == pytest.approx(0, abs=1e-12)


# A square whose corners stand 10 and 11 from the centre (3, −2) in turn.
SQUARE = at((13, -2), (3, 9), (-7, -2), (3, -13))


@pytest.mark.parametrize(
    ("circle", "radius"),
    [(least_squares, 10.5), (zone_circle, 10.5), (circumscribed_circle, 11.0)],
)
def test_three_circles_of_a_square(circle, radius):
    found = circle(*SQUARE)

    assert (found.x, found.y, found.radius) == pytest.approx((3, -2, radius))
    assert found.roundness == pytest.approx(1)


def test_an_empty_circle_grows_until_three_corners_hold_it():
    found = inscribed_circle(*SQUARE)

    # Moved by t towards a far corner it is held where √(10² + t²) = 11 − t: t = 21/22.
    assert found is not None
    assert found.x == pytest.approx(3)
    assert abs(found.y + 2) == pytest.approx(21 / 22)
    assert found.radius == pytest.approx(221 / 22)
    assert found.roundness == pytest.approx(11 + 21 / 22 - 221 / 22)


def test_a_triangle_is_held_by_its_corners():
    found = circumscribed_circle(*at((0, 0), (8, 0), (0, 6), (1, 1)))

    # A right angle: half of the long side, 10, from its middle; (1, 1) is 5 − √13 inside of it.
    assert (found.x, found.y, found.radius) == pytest.approx((4, 3, 5))
    assert found.roundness == pytest.approx(5 - math.sqrt(13))


def test_a_sharp_triangle_is_held_by_three_corners():
    # Equilateral of side 2·√3 round (1, 1): radius 2.
    root = math.sqrt(3)
    found = circumscribed_circle(*at((1, 3), (1 + root, 0), (1 - root, 0), (1, 1.5)))

    assert (found.x, found.y, found.radius) == pytest.approx((1, 1, 2))
    assert found.roundness == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("circle", "least"), [(least_squares, 3), (zone_circle, 4), (circumscribed_circle, 2)]
)
def test_fewer_points_than_a_circle_needs(circle, least):
    four = at((5, 0), (-5, 0), (0, 5), (0, -5))

    assert circle(*(axis[:least] for axis in four)).radius == pytest.approx(5)
    with pytest.raises(GaugeInputError) as refusal:
        circle(*(axis[: least - 1] for axis in four))

    assert (refusal.value.code, refusal.value.field) == ("too_few", "points")
    assert (refusal.value.details["value"], refusal.value.details["limit"]) == (least - 1, least)
