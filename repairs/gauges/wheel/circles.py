"""The four reference circles of points in a plane, exactly: LSCI, MZCI, MICI, MCCI (ISO 12181-1).

Each but the circumscribed one is found by solving the limaçon again at the shifted centre until it
stays: Gauss-Newton for least squares, an exchange at vertices for the others (see `roundness`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.inscribed import inscribed
from repairs.gauges.wheel.roundness import minimum_zone

VERSION = "circles 1"

# Each shift solves the circle from the centre before; this ends one that never comes to rest.
MOST_SHIFTS = 500
STILL = 1e-13  # of the radius: a centre that moves less has been found

Point = tuple[float, float]
Ball = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle in the plane; ``roundness`` is RONt about it, all in the unit of the points."""

    x: float
    y: float
    radius: float
    roundness: float


def least_squares(x: Floats, y: Floats) -> Circle:
    """Return the circle with the least sum of squared distances (LSCI) of points, shapes (N,).

    Gauss-Newton from the algebraic fit. Raises GaugeInputError: ``too_few`` with fewer than three
    points, ``no_answer`` when they stand in a line. Source: ISO 12181-1; Gander, Golub & Strebel,
    BIT 34 (1994) 558-578.
    """
    _enough(x, 3)
    rows = np.column_stack([np.ones_like(x), x - x.mean(), y - y.mean()])
    start, _res, rank, _sv = np.linalg.lstsq(rows, rows[:, 1] ** 2 + rows[:, 2] ** 2, rcond=1e-12)
    if rank < 3:
        raise GaugeInputError("no_answer", field="points", why="they stand in a line")
    centre_x, centre_y = x.mean() + start[1] / 2, y.mean() + start[2] / 2
    for _shift in range(MOST_SHIFTS):
        cos, sin, radii = _seen_from(centre_x, centre_y, x, y)
        basis = np.column_stack([np.ones_like(cos), cos, sin])
        mean, dx, dy = np.linalg.lstsq(basis, radii, rcond=None)[0]
        centre_x, centre_y = centre_x + dx, centre_y + dy
        if math.hypot(dx, dy) <= STILL * mean:
            radii = np.hypot(x - centre_x, y - centre_y)
            return Circle(
                float(centre_x), float(centre_y), float(radii.mean()), float(np.ptp(radii))
            )
    raise GaugeInputError("no_answer", field="points", why="the centre kept moving")


def zone_circle(x: Floats, y: Floats) -> Circle:
    """Return the middle circle of the narrowest ring that holds all points (MZCI), shapes (N,).

    A local minimum near the least-squares centre. Errors as `least_squares`, N >= 4.
    """
    _enough(x, 4)
    start = least_squares(x, y)
    centre_x, centre_y = start.x, start.y
    for _shift in range(MOST_SHIFTS):
        cos, sin, radii = _in_order(centre_x, centre_y, x, y)
        middle = radii.mean()
        ring = minimum_zone(cos, sin, radii - middle)
        centre_x, centre_y = centre_x + ring.x, centre_y + ring.y
        if math.hypot(ring.x, ring.y) <= STILL * middle:
            return Circle(centre_x, centre_y, float(middle + ring.mean), ring.width)
    raise GaugeInputError("no_answer", field="points", why="the centre kept moving")


def inscribed_circle(x: Floats, y: Floats) -> Circle | None:
    """Return the largest empty circle near the least-squares centre (MICI), points of shape (N,).

    None when the points leave half of the turn open. Errors as `least_squares`.
    """
    start = least_squares(x, y)
    centre_x, centre_y = start.x, start.y
    for _shift in range(MOST_SHIFTS):
        cos, sin, radii = _in_order(centre_x, centre_y, x, y)
        middle = radii.mean()
        inner = inscribed(cos, sin, radii - middle)
        if inner is None:
            return None
        centre_x, centre_y = centre_x + inner.x, centre_y + inner.y
        if math.hypot(inner.x, inner.y) <= STILL * middle:
            radius = float(middle + inner.mean)
            return Circle(centre_x, centre_y, radius, float(radii.max()) - radius)
    raise GaugeInputError("no_answer", field="points", why="the centre kept moving")


def circumscribed_circle(x: Floats, y: Floats) -> Circle:
    """Return the smallest circle round all points (MCCI), shapes (N,), N >= 2.

    Incremental (Welzl 1991): it may be held by two points alone, where the limaçon has no vertex.
    Raises GaugeInputError ``too_few``.
    """
    _enough(x, 2)
    points = list(zip(x.tolist(), y.tolist(), strict=True))
    slack = 1e-12 * float(max(np.ptp(x), np.ptp(y)))
    ball: Ball = (*points[0], 0.0)
    for i, one in enumerate(points):
        if _holds(ball, one, slack):
            continue
        ball = (*one, 0.0)
        for j, two in enumerate(points[:i]):
            if _holds(ball, two, slack):
                continue
            ball = _on_two(one, two)
            for three in points[:j]:
                if not _holds(ball, three, slack):
                    ball = _through(one, two, three)
    radii = np.hypot(x - ball[0], y - ball[1])
    return Circle(*ball, ball[2] - float(radii.min()))


def _holds(ball: Ball, point: Point, slack: float) -> bool:
    return math.dist(ball[:2], point) <= ball[2] + slack


def _on_two(one: Point, two: Point) -> Ball:
    return (one[0] + two[0]) / 2, (one[1] + two[1]) / 2, math.dist(one, two) / 2


def _through(one: Point, two: Point, three: Point) -> Ball:
    ax, ay = two[0] - one[0], two[1] - one[1]
    bx, by = three[0] - one[0], three[1] - one[1]
    twice = 2 * (ax * by - ay * bx)
    a, b = ax * ax + ay * ay, bx * bx + by * by
    x, y = (by * a - ay * b) / twice, (ax * b - bx * a) / twice
    return one[0] + x, one[1] + y, math.hypot(x, y)


def _enough(x: Floats, least: int) -> None:
    if len(x) < least:
        raise GaugeInputError("too_few", field="points", value=len(x), limit=least)


def _seen_from(
    centre_x: float, centre_y: float, x: Floats, y: Floats
) -> tuple[Floats, Floats, Floats]:
    """Cosine, sine and distance of the points from a centre."""
    dx, dy = x - centre_x, y - centre_y
    radii = np.hypot(dx, dy)
    if not radii.all():
        raise GaugeInputError("no_answer", field="points", why="one lies on the centre")
    return dx / radii, dy / radii, radii


def _in_order(
    centre_x: float, centre_y: float, x: Floats, y: Floats
) -> tuple[Floats, Floats, Floats]:
    """As `_seen_from`, in the order of one turn."""
    cos, sin, radii = _seen_from(centre_x, centre_y, x, y)
    order = np.argsort(np.arctan2(sin, cos))
    return cos[order], sin[order], radii[order]
