"""Reference circles of roundness from polar readings: minimum zone, inscribed, circumscribed.

Terms after ISO 12181-1: MZCI, MICI, MCCI; RONt is the peak-to-valley deviation from one of them.
The model is the limaçon, ``r = m + x·cos θ + y·sin θ`` for readings r at angles θ, linear in the
centre (x, y). For a centre offset e and a radius R it departs from the circle by at most ``e²/2R``;
`circles` has the exact ones.

No linear-programming solver is needed. {1, cos, sin} is a Chebyshev system on the circle, so the
minimum zone touches four readings, in turn outside and inside, and an exchange of one reading at a
time (Remez 1934; Stiefel 1959) strictly widens the zone until no reading is left outside of it.
That no reading is outside of a zone held by four alternating readings *is* the proof that no
narrower one exists (de la Vallée Poussin 1910). The inscribed circle is held by three readings
round the centre, by the same argument.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from repairs.gauges.base.arrays import Floats
from repairs.gauges.base.errors import GaugeInputError

VERSION = "roundness 1"

EPS = 1e-12  # of the level: an exchange that gains less is rounding
GAINED = 1 + EPS
TINY = 1e-15  # of the largest reading: below this a deviation is rounding
MOST_STEPS = 1000
FREE = 1e-9  # weight, below which a reading does not hold the circle


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

    def beside(self, mean: float, x: float, y: float) -> Touch:
        """The same for readings from which another limaçon had been taken away before."""
        return replace(self, mean=self.mean + mean, x=self.x + x, y=self.y + y)

    @property
    def is_free(self) -> bool:
        """Held by two opposite readings alone: the centre may move along a line."""
        return self.width == 0.0 and min(self.weights) < FREE

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
    floor = TINY * max(map(abs, v))
    support = first_four(v)
    found = None
    for step in range(1, MOST_STEPS):
        level, weights = _level(support, c, s, v)
        half = abs(level)
        if found is not None and half <= found.width / 2 * GAINED:
            return found
        triple, shifted = _without_heaviest(support, weights, level, v)
        mean, x, y = plane(triple, c, s, shifted)
        found = Touch(mean, x, y, 2 * half, tuple(support), weights, step)
        off = found.deviations(cos, sin, r)
        high, low = int(off.argmax()), int(off.argmin())
        worst = high if off[high] >= -off[low] else low
        if abs(off[worst]) <= half * GAINED + floor or worst in support:
            return found
        support = _exchange_zone(support, worst, bool((off[worst] > 0) == (level >= 0)))
    raise GaugeInputError("no_answer", field="readings", why="the minimum zone was not found")


def first_four(v: list[float]) -> list[int]:
    """The outermost reading, and in turn the inmost, outermost, inmost near each quarter turn."""
    count = len(v)
    first = v.index(max(v))
    if count < 8:
        return [k * count // 4 for k in range(4)]
    reach = count // 8
    places = [first]
    for quarter, extreme in ((1, min), (2, max), (3, min)):
        middle = first + quarter * count // 4
        window = [place % count for place in range(middle - reach + 1, middle + reach)]
        places.append(extreme(window, key=v.__getitem__))
    return sorted(places)


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


def plane(
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
