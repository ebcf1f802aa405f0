"""Zones and inscribed circles of readings so few that they can be seen."""

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.inscribed import circumscribed, inscribed, least_deviation
from repairs.gauges.wheel.roundness import Touch, first_four, minimum_zone, plane


def turn(*readings, places=None):
    count = len(readings)
    theta = np.radians(places or [360 * place / count for place in range(count)])
    return np.cos(theta), np.sin(theta), np.array(readings, dtype=float)


def test_the_zone_of_a_square():
    found = minimum_zone(*turn(0.3, 0.1, 0.3, 0.1))

    assert (found.mean, found.width) == pytest.approx((0.2, 0.2))
    assert (found.x, found.y) == pytest.approx((0, 0), abs=1e-15)
    assert (found.support, found.steps) == ((0, 1, 2, 3), 1)
    assert found.weights == pytest.approx([0.25] * 4)
    assert found.noise_gain == pytest.approx(0.5)
    assert not found.is_free


def test_the_zone_of_a_rectangle():
    # At 0°, 60°, 180° and 240° they are the corners of a rectangle: each weighs as much.
    found = minimum_zone(*turn(0.2, 0.0, 0.2, 0.0, places=[0, 60, 180, 240]))

    assert found.width == pytest.approx(0.2)
    assert found.weights == pytest.approx([0.25] * 4)


def test_three_readings_have_no_zone_and_four_have():
    with pytest.raises(GaugeInputError) as refusal:
        minimum_zone(*turn(1, 2, 3))

    assert (refusal.value.code, refusal.value.details["value"]) == ("too_few", 3)
    assert refusal.value.details["limit"] == 4
    assert minimum_zone(*turn(1, 2, 3, 4)).width == pytest.approx(1)  # (1 − 2 + 3 − 4) / 4 twice


@pytest.mark.parametrize(
    ("spots", "count", "expected"),
    [
        ({}, 4, [0, 1, 2, 3]),
        ({0: 9}, 10, [0, 2, 5, 7]),
        ({5: 9}, 7, [0, 1, 3, 5]),
        ({0: 9, 2: -1, 4: 1, 6: -1}, 8, [0, 2, 4, 6]),
        # From the outermost a quarter, half and three quarters on, each within an eighth.
        ({3: 9, 7: -5, 6: -6, 17: 5, 18: 6, 19: -5, 0: -6}, 24, [3, 7, 17, 19]),
        ({3: 9, 11: -5, 12: -6, 13: 5, 23: -5, 0: -6}, 24, [3, 11, 13, 23]),
        ({20: 9, 2: -5, 8: 5, 14: -5}, 24, [2, 8, 14, 20]),
    ],
)
def test_the_search_begins_at_the_extremes_of_each_quarter(spots, count, expected):
    assert first_four([spots.get(place, 0.0) for place in range(count)]) == expected


def test_a_limacon_goes_through_three_readings():
    places = [math.radians(angle) for angle in (10, 140, 250)]
    cos, sin = [math.cos(t) for t in places], [math.sin(t) for t in places]
    values = [2 + 0.5 * c - 0.25 * s for c, s in zip(cos, sin, strict=True)]

    assert plane([0, 1, 2], cos, sin, values) == pytest.approx((2, 0.5, -0.25))


def test_the_inscribed_circle_of_a_triangle():
    found = inscribed(*turn(0.1, 0.5, 0.1, 0.5, 0.1, 0.5))

    assert found is not None
    assert found.mean == pytest.approx(0.1)
    assert found.support == (0, 2, 4)
    assert (found.x, found.y) == pytest.approx((0, 0), abs=1e-15)
    assert found.weights == pytest.approx([1 / 3] * 3)
    assert found.noise_gain == pytest.approx(1 / math.sqrt(3))
    # It is sought from 0° and from both sides of the place opposite: one corner is exchanged.
    assert (found.width, found.steps, found.is_free) == (0, 2, False)


def test_the_circumscribed_circle_is_the_inscribed_of_the_other_side():
    cos, sin, r = turn(0.5, 0.1, 0.6, 0.1, 0.7, 0.1)

    found, other = circumscribed(cos, sin, r), inscribed(cos, sin, -r)

    assert found is not None and other is not None
    assert found.mean == pytest.approx(0.6)  # the mean of the three corners
    assert (found.mean, found.x, found.y) == (-other.mean, -other.x, -other.y)
    assert (found.support, found.weights) == (other.support, other.weights)
    assert (found.width, found.steps) == (0, other.steps)


@pytest.mark.parametrize(
    ("places", "is_open"),
    [
        ([0, 60, 120, 180], True),  # one half is open to its very end
        ([0, 60, 120, 181], False),
        ([0, 60, 120, 179], True),
        ([0, 120, 240], False),
        ([0, 10, 20, 30], True),
        ([200, 320, 80], False),
    ],
)
def test_half_a_turn_without_readings_bounds_nothing(places, is_open):
    places = sorted(places)
    for least in range(len(places)):
        readings = [0.0 if place == least else 0.1 for place in range(len(places))]
        assert (inscribed(*turn(*readings, places=places)) is None) is is_open


def test_a_circle_between_two_readings_moves_to_where_least_is_cut():
    # Low at 90° and 270°: the centre may go along 0°. High there by 0.3, less when it goes by x;
    # at 135° 0.2, more by x·cos 45°: both are 0.241421 at x = 0.1 / (1 + cos 45°).
    cos, sin, r = turn(0.3, 0.2, 0.0, 0.2, 0.1, 0.2, 0.0, 0.2)
    held = inscribed(cos, sin, r)
    assert held is not None and held.is_free

    found = least_deviation(held, cos, sin, r)

    assert (found.mean, found.x, found.y) == pytest.approx((0, 0.0585786, 0), abs=1e-7)
    assert found.deviations(cos, sin, r).max() == pytest.approx(0.2414214)
    assert (found.width, found.support, found.steps) == (0, held.support, held.steps)


def test_what_was_taken_away_before_is_put_back():
    found = Touch(1.0, 2.0, 3.0, 4.0, (0, 1, 2, 3), (0.25,) * 4, 7).beside(10.0, 20.0, 30.0)

    assert found == Touch(11.0, 22.0, 33.0, 4.0, (0, 1, 2, 3), (0.25,) * 4, 7)


@pytest.mark.parametrize(
    ("width", "least", "is_free"),
    [(0.0, 1e-10, True), (0.0, 1e-9, False), (0.0, 0.2, False), (0.2, 1e-10, False)],
)
def test_a_circle_on_two_readings_is_free(width, least, is_free):
    touch = Touch(0.0, 0.0, 0.0, width, (0, 1, 2), (0.5, 0.5 - least, least), 1)

    assert touch.is_free is is_free
