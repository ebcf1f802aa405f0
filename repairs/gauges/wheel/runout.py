"""Run-out and roundness of a noisy wheel: unbiased, and covered by their interval.

The highest reading less the lowest is a maximum minus a minimum: noise always makes it larger. So
the wheel is described by its lobes, ``f(θ) = Σ a_h·cos hθ + b_h·sin hθ``, and run-out is the range
of f, roundness that of f without h = 1 (the least-squares circle, ISO 12181-1). Both are put
through a Monte Carlo (JCGM 101:2008, 5.2 and 7): each order is there or not, with odds by the
evidence of its amplitude, ``exp(x²/2)`` against a prior (x: amplitude in standard uncertainties);
one that is there is drawn about its amplitude less the ``u²/2A`` by which noise lengthens it.

No prior is right for every rim. The lower end of the interval is that of a sceptic, the upper end
that of one who fears lobes (robust Bayes; the two priors were set by simulation, `manage.py measure
cover` prints what came of it). The lower end is 0 exactly where no order stands out of the noise at
5 % of all orders together: so a perfect rim is covered, too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from repairs.gauges.base.arrays import Floats, NDArray, np
from repairs.gauges.wheel.fit import WORST_SPREAD, fourier_basis

VERSION = "wheel_runout 1"

MOST_ORDER = 15  # undulations per turn, the coarsest filter of ISO 12181-2
# A rim bent from one strip is oval, one of staves has as many lobes as staves: up to five are
# looked for on any wheel (common practice). Five lobes need eleven even places.
LOBES_TO_RESOLVE = 5
ILL = 1e8  # condition beyond which a fit is rounding
DRAWS = 1000  # the ends then stand at the 25th and 975th
AROUND = 240  # places of the model: five lobes lose at most a five-hundredth between two of them
SCEPTIC, FEARFUL = 2.9, 1.6  # natural logarithms of the odds against any one order
FAMILY = 0.05
LEAST_SHARE = 0.4  # of the interval, that lies below the value
ENOUGH_FREEDOM = 13  # of 24 places: below it a residual says little about the noise
COVER = 1.959964  # standard uncertainties in half of a 95 % interval


@dataclass(frozen=True, slots=True)
class Spread:
    """A range in mm with the ends of its 95 % interval; ``u_mm`` is half of it over 1.96.

    The interval is longer upwards, where lobes may hide in the noise.
    """

    value_mm: float
    low_mm: float
    high_mm: float

    @property
    def u_mm(self) -> float:
        """Standard uncertainty that gives the interval back."""
        return (self.high_mm - self.low_mm) / 2 / COVER


@dataclass(frozen=True)
class Places:
    """What the places of a turn can tell, for noise 1: made once, used for many wheels.

    ``solve`` has shape (1 + 2·top, N), ``inverse`` (2·top, 2·top): the covariance of the
    coefficients of all orders. ``is_even``: it is the same in every direction.
    """

    top: int
    solve: Floats
    inverse: Floats
    is_even: bool

    @property
    def count(self) -> int:
        """Number of places."""
        return int(self.solve.shape[1])


def places(theta: Floats) -> Places | None:
    """Return what these places can tell; None where they cannot resolve five lobes.

    ``theta`` in radians, shape (N,), distinct.
    """
    return _places(np.ascontiguousarray(theta, dtype=np.float64).tobytes())


@lru_cache(maxsize=32)
def _places(key: bytes) -> Places | None:
    theta = np.frombuffer(key)
    for top in range(min(MOST_ORDER, (len(theta) - 1) // 2), LOBES_TO_RESOLVE - 1, -1):
        basis = fourier_basis(theta, top)
        gram = basis.T @ basis
        if np.linalg.cond(gram) > ILL:
            continue
        inverse = np.asarray(np.linalg.inv(gram), dtype=np.float64)
        if math.sqrt(inverse.diagonal().max() * len(theta) / 2) > WORST_SPREAD:
            continue
        own = inverse[1:, 1:]
        even = np.allclose(own, own[0, 0] * np.eye(2 * top), atol=own[0, 0] * 1e-9)
        return Places(top, inverse @ basis.T, own, bool(even))
    return None


@lru_cache(maxsize=32)
def _around(top: int) -> Floats:
    angles = 2 * math.pi * np.arange(AROUND) / AROUND
    return np.ascontiguousarray(fourier_basis(angles, top)[:, 1:].T)


@lru_cache(maxsize=32)
def _chances(top: int) -> tuple[Floats, Floats]:
    """Uniform (DRAWS, top) and normal (DRAWS, 2·top) numbers, the same for every wheel."""
    chance = np.random.default_rng(20)
    half = chance.standard_normal((DRAWS // 2, 2 * top))
    return chance.random((DRAWS, top)), np.vstack([half, -half])


def spreads(at: Places, readings_mm: Floats, noise_mm: float) -> tuple[Spread, Spread]:
    """Return run-out and roundness of one turn.

    ``readings_mm`` has shape (N,), at the angles that ``at`` was made for; ``noise_mm`` > 0 is the
    standard deviation of one of them.
    """
    found, spread = _from_the_high_spot(at, (at.solve @ readings_mm)[1:])
    pairs = found.reshape(at.top, 2)
    blocks = np.stack([spread[i : i + 2, i : i + 2] for i in range(0, 2 * at.top, 2)])
    across = np.linalg.solve(blocks, pairs[:, :, None])[:, :, 0]
    evidence = (pairs * across).sum(axis=1) / noise_mm**2
    nearer = np.clip(1 - 1 / np.maximum(evidence, 1e-12), 0.0, None)
    chances, normal = _chances(at.top)
    noise = normal * math.sqrt(spread[0, 0]) if at.is_even else normal @ _root(spread).T
    drawn = found * np.repeat(nearer, 2) + noise_mm * noise
    ends = [
        _ranges(drawn, chances < _is_there(evidence, against, at.top), at.top)
        for against in (SCEPTIC, FEARFUL)
    ]
    floor = noise_mm / math.sqrt(at.count)
    stands_out = (
        bool((evidence > _least_evidence(at.top)).any()),
        bool((evidence[1:] > _least_evidence(at.top - 1)).any()),
    )
    run_out, form = (
        _spread(ends[0][k], ends[1][k], floor if stands_out[k] else 0.0) for k in (0, 1)
    )
    return run_out, form


def _spread(sceptic: Floats, fearful: Floats, floor: float) -> Spread:
    """From low, middle and high of both; ``floor`` is 0 where nothing stands out of the noise."""
    low = max(float(sceptic[0]), floor) if floor else 0.0
    high = max(float(fearful[2]), low)
    middle = (float(sceptic[1]) + float(fearful[1])) / 2
    # Where nothing stands out both middles are 0, and a value of 0 would not be 95 % sure.
    return Spread(min(max(middle, low + LEAST_SHARE * (high - low)), high), low, high)


def _from_the_high_spot(at: Places, found: Floats) -> tuple[Floats, Floats]:
    """The coefficients and their covariance, with angles counted from the high spot of order 1.

    A wheel then has the same figures wherever its mark was set.
    """
    turns = math.atan2(found[1], found[0]) * np.arange(1, at.top + 1)
    cos, sin = np.cos(turns), np.sin(turns)
    turn = np.zeros((2 * at.top, 2 * at.top))
    even = np.arange(0, 2 * at.top, 2)
    turn[even, even], turn[even, even + 1] = cos, sin
    turn[even + 1, even], turn[even + 1, even + 1] = -sin, cos
    return turn @ found, at.inverse if at.is_even else turn @ at.inverse @ turn.T


def _root(spread: Floats) -> Floats:
    return np.asarray(np.linalg.cholesky(spread), dtype=np.float64)


def _is_there(evidence: Floats, against: float, top: int) -> Floats:
    """Probability of each order, for odds against any one that grow with their number."""
    odds = evidence / 2 - against - math.log(top)
    return np.asarray(1 / (1 + np.exp(-np.clip(odds, -50, 50))), dtype=np.float64)


def _ranges(drawn: Floats, there: NDArray[np.bool_], top: int) -> Floats:
    """Low, middle and high of the range of f and of f without its first order, shape (2, 3)."""
    kept = np.where(np.repeat(there, 2, axis=1), drawn, 0.0)
    form = kept[:, 2:] @ _around(top)[2:]
    whole = form + kept[:, :2] @ _around(top)[:2]
    ranges = np.stack([np.ptp(whole, axis=1), np.ptp(form, axis=1)])
    places = (DRAWS // 40, DRAWS // 2, DRAWS - 1 - DRAWS // 40)
    ordered: Floats = np.partition(ranges, places, axis=1)[:, places]
    return ordered


def _least_evidence(orders: int) -> float:
    """Evidence that noise exceeds in any of so many orders in one wheel of twenty (χ² of 2)."""
    return -2 * math.log(1 - (1 - FAMILY) ** (1 / orders))


def left_over_mm(theta: Floats, readings_mm: Floats) -> float | None:
    """Root mean square, by degrees of freedom, of what five lobes leave; None with too few."""
    freedom = len(theta) - 1 - 2 * LOBES_TO_RESOLVE
    if freedom < ENOUGH_FREEDOM:
        return None
    basis = fourier_basis(theta, LOBES_TO_RESOLVE)
    off = readings_mm - basis @ np.linalg.lstsq(basis, readings_mm, rcond=None)[0]
    return math.sqrt(float(off @ off) / freedom)
