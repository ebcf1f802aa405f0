"""The four reference circles of roundness: least squares, minimum zone, inscribed, circumscribed.

Terms after ISO 12181-1: LSCI, MZCI, MICI, MCCI; RONt is the peak-to-valley deviation from one of
them. Two models are used:

*Limaçon*: ``r = m + x·cos θ + y·sin θ`` for readings r at angles θ, linear in the centre (x, y).
For a centre offset e and a radius R it departs from the circle by at most ``e²/2R``.

*Plane*: the exact circle through points (x, y), found by solving the limaçon again at the shifted
centre until it stays (Gauss-Newton for least squares, an exchange at vertices for the others).

No linear-programming solver is needed. {1, cos, sin} is a Chebyshev system on the circle, so the
minimum zone touches four readings, in turn outside and inside, and an exchange of one reading at a
time (Remez 1934; Stiefel 1959) strictly widens the zone until no reading is left outside of it.
That no reading is outside of a zone held by four alternating readings *is* the proof that no
narrower one exists (de la Vallée Poussin 1910). The inscribed circle is held by three readings
round the centre, by the same argument.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from repairs.gauges.checks import Floats
from repairs.gauges.errors import GaugeInputError

VERSION = "roundness 1"

EPS = 1e-12  # of the level: an exchange that gains less is rounding
TINY = 1e-15  # of the largest reading: below this a deviation is rounding
MOST_STEPS = 1000
MOST_SHIFTS = 500
STILL = 1e-13  # of the radius: a centre that moves less has been found
ACROSS = 1e-9  # sine of an angle, below which two places are opposite or the same


@dataclass(frozen=True, slots=True)
class Touch:
    """A reference limaçon and the readings that hold it.

    ``mean``, ``x``, ``y`` in the unit of the readings. ``support`` are the indices of the holding
    readings, ``weights`` (sum 1) how much each of them moves the figure: for the zone, half its
    width is the weighted sum of the readings with alternating signs; for the inscribed and
    circumscribed circle, ``mean`` is the weighted sum. ``width`` is 0 unless it is a zone.
    """

    mean: float
    x: float
    y: float
    width: float
    support: tuple[int, ...]
    weights: tuple[float, ...]
    steps: int

    def deviations(self, cos: Floats, sin: Floats, r: Floats) -> Floats:
        """Readings minus the limaçon, shape (N,)."""
        return r - (self.mean + self.x * cos + self.y * sin)

    @property
    def noise_gain(self) -> float:
        """Standard deviation of the weighted sum for readings of standard deviation 1."""
        return math.hypot(*self.weights)


def minimum_zone(cos: Floats, sin: Floats, r: Floats) -> Touch:
    """Return the narrowest zone between two concentric limaçons that holds all readings (MZCI).

    Parameters
    ----------
    cos, sin : float64 arrays, shape (N,), N >= 4
        Of the angles, which must be distinct and stand in the order of one turn.
    r : float64 array, shape (N,)
        Readings, growing outwards, any unit of length.

    Returns
    -------
    Touch
        With ``width`` = RONt(MZCI) and the four holding readings.

    Raises
    ------
    GaugeInputError
        ``too_few`` with fewer than four readings.
    """
    count = len(r)
    if count < 4:
        raise GaugeInputError("too_few", field="readings", value=count, limit=4)
    c, s, v = cos.tolist(), sin.tolist(), r.tolist()
    floor = TINY * max(-min(v), max(v), 1e-300)
    support = [k * count // 4 for k in range(4)]
    found, before = None, -1.0
    for step in range(1, MOST_STEPS):
        level, weights = _level(support, c, s, v)
        if found is not None and abs(level) <= before * (1 + EPS):
            return found
        before = abs(level)
        triple, shifted = _without_heaviest(support, weights, level, v)
        mean, x, y = _plane(triple, c, s, shifted)
        found = Touch(mean, x, y, 2 * before, tuple(support), weights, step)
        off = found.deviations(cos, sin, r)
        high, low = int(off.argmax()), int(off.argmin())
        worst = high if off[high] >= -off[low] else low
        if abs(off[worst]) <= before * (1 + EPS) + floor or worst in support:
            return found
        support = _exchange_zone(support, worst, bool((off[worst] > 0) == (level >= 0)))
    raise GaugeInputError("no_answer", field="readings", why="the minimum zone was not found")


def _level(
    support: list[int], c: list[float], s: list[float], v: list[float]
) -> tuple[float, tuple[float, ...]]:
    """Deviation d with +d, -d, +d, -d at the four readings, and the weights that give it.

    Each weight is the area of the triangle of the other three places on the unit circle.
    """
    i, j, k, m = support
    areas = (
        _area(j, k, m, c, s),
        _area(i, k, m, c, s),
        _area(i, j, m, c, s),
        _area(i, j, k, c, s),
    )
    total = sum(areas)
    a, b, d, e = (area / total for area in areas)
    return a * v[i] - b * v[j] + d * v[k] - e * v[m], (a, b, d, e)


def _area(i: int, j: int, k: int, c: list[float], s: list[float]) -> float:
    return (c[j] - c[i]) * (s[k] - s[i]) - (c[k] - c[i]) * (s[j] - s[i])


def _without_heaviest(
    support: list[int], weights: tuple[float, ...], level: float, v: list[float]
) -> tuple[list[int], list[float]]:
    """Three of the four places, those furthest apart, and what the limaçon reads at them."""
    heaviest = weights.index(max(weights))
    kept = [p for p in range(4) if p != heaviest]
    return [support[p] for p in kept], [
        v[support[p]] - (level if p % 2 == 0 else -level) for p in kept
    ]


def _plane(
    places: list[int], c: list[float], s: list[float], values: list[float]
) -> tuple[float, float, float]:
    """Mean, x and y of the limaçon through three values."""
    i, j, k = places
    c1, s1, v1 = c[j] - c[i], s[j] - s[i], values[1] - values[0]
    c2, s2, v2 = c[k] - c[i], s[k] - s[i], values[2] - values[0]
    area = c1 * s2 - c2 * s1
    x, y = (v1 * s2 - v2 * s1) / area, (c1 * v2 - c2 * v1) / area
    return values[0] - x * c[i] - y * s[i], x, y


def _exchange_zone(support: list[int], worst: int, as_even: bool) -> list[int]:
    """Take in the worst reading for its neighbour on the same side; the signs go on alternating.

    Round the circle the signs alternate too, so one of the two neighbours always has the sign of
    the new reading.
    """
    after = sum(place < worst for place in support)
    leaving = after % 4 if (after % 2 == 0) == as_even else (after - 1) % 4
    kept = [place for p, place in enumerate(support) if p != leaving]
    return sorted([*kept, worst])


def inscribed(cos: Floats, sin: Floats, r: Floats) -> Touch | None:
    """Return the largest limaçon that no reading lies inside of (MICI), or None.

    Parameters as for `minimum_zone`, N >= 3. None when the readings leave half of the turn or more
    open: then nothing bounds the circle on that side. Its centre need not be unique; the radius is.
    """
    c, s, v = cos.tolist(), sin.tolist(), r.tolist()
    least, most = min(v), max(v)
    support = _first_three(v.index(least), c, s)
    if support is None:
        return None
    floor = EPS * (most - least) + TINY * max(-least, most)
    for step in range(1, MOST_STEPS):
        mean, x, y = _plane(support, c, s, [v[place] for place in support])
        off = r - (mean + x * cos + y * sin)
        worst = int(off.argmin())
        if off[worst] >= -floor or worst in support:
            return Touch(mean, x, y, 0.0, tuple(support), _shares(support, c, s), step)
        support = _exchange_triangle(support, worst, c, s)
    raise GaugeInputError("no_answer", field="readings", why="the inscribed circle was not found")


def circumscribed(cos: Floats, sin: Floats, r: Floats) -> Touch | None:
    """Return the smallest limaçon that no reading lies outside of (MCCI), or None; as `inscribed`."""
    found = inscribed(cos, sin, -r)
    if found is None:
        return None
    return Touch(
        -found.mean, -found.x, -found.y, 0.0, found.support, found.weights, found.steps
    )


def _first_three(first: int, c: list[float], s: list[float]) -> list[int] | None:
    """The innermost reading and the two on either side of the place opposite to it."""
    count = len(c)
    before = first
    for place in (*range(first + 1, count), *range(first)):
        if c[first] * s[place] - s[first] * c[place] <= ACROSS:
            break
        before = place
    else:
        return None
    opposite_gap = c[before] * s[place] - s[before] * c[place]
    if before == first or opposite_gap <= ACROSS:
        return None
    return sorted([first, before, place])


def _exchange_triangle(
    support: list[int], worst: int, c: list[float], s: list[float]
) -> list[int]:
    """Take in the worst reading so that the new three still stand round the centre."""
    after = sum(place < worst for place in support) % 3
    third = support[(after + 1) % 3]
    across = c[third] * s[worst] - s[third] * c[worst]
    leaving = (after - 1) % 3 if across >= 0 else after
    return sorted([place for p, place in enumerate(support) if p != leaving] + [worst])


def _shares(support: list[int], c: list[float], s: list[float]) -> tuple[float, ...]:
    """Weights with which the three values give the mean (their places then balance)."""
    i, j, k = support
    shares = [c[a] * s[b] - c[b] * s[a] for a, b in ((j, k), (k, i), (i, j))]
    total = sum(shares)
    return tuple(share / total for share in shares)


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle in the plane; ``roundness`` is RONt about it, all in the unit of the points."""

    x: float
    y: float
    radius: float
    roundness: float


def plane_least_squares(x: Floats, y: Floats) -> Circle:
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


def plane_zone(x: Floats, y: Floats) -> Circle:
    """Return the middle circle of the narrowest ring that holds all points (MZCI), shapes (N,).

    A local minimum near the least-squares centre. Errors as `plane_least_squares`, N >= 4.
    """
    _enough(x, 4)
    start = plane_least_squares(x, y)
    centre_x, centre_y = start.x, start.y
    for _shift in range(MOST_SHIFTS):
        cos, sin, radii = _in_order(centre_x, centre_y, x, y)
        middle = radii.mean()
        zone = minimum_zone(cos, sin, radii - middle)
        centre_x, centre_y = centre_x + zone.x, centre_y + zone.y
        if math.hypot(zone.x, zone.y) <= STILL * middle:
            return Circle(centre_x, centre_y, float(middle + zone.mean), zone.width)
    raise GaugeInputError("no_answer", field="points", why="the centre kept moving")


def plane_inscribed(x: Floats, y: Floats) -> Circle | None:
    """Return the largest empty circle near the least-squares centre (MICI), points of shape (N,).

    None when the points leave half of the turn open. Errors as `plane_least_squares`.
    """
    start = plane_least_squares(x, y)
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


def plane_circumscribed(x: Floats, y: Floats) -> Circle:
    """Return the smallest circle round all points (MCCI), shapes (N,), N >= 2.

    Incremental (Welzl 1991): it may be held by two points alone, where the limaçon has no vertex.
    Raises GaugeInputError ``too_few``.
    """
    _enough(x, 2)
    points = list(zip(x.tolist(), y.tolist(), strict=True))
    slack = 1e-12 * float(max(np.ptp(x), np.ptp(y)))
    ball = (*points[0], 0.0)
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


Point = tuple[float, float]
Ball = tuple[float, float, float]


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
