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
5 % of all orders together: so a perfect rim is covered, too. Where one order alone stands out, the
lower end is that of Neyman's construction for a lobe picked as the largest of many (`lower_ends`),
which begins at that same 0: a lobe just above the noise is then missed as seldom as promised.
Where several stand out, the sceptic may still leave one of them out of a few draws, and these few
make his lower end: the run-out's is then no lower than that of draws that hold them all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from repairs.gauges.base.arrays import Floats, NDArray, np
from repairs.gauges.wheel.fit import WORST_SPREAD, fourier_basis
from repairs.gauges.wheel.lone import least_evidence, lower_ends

VERSION = "wheel_runout 3"

MOST_ORDER = 15  # undulations per turn, the coarsest filter of ISO 12181-2
# A rim bent from one strip is oval, one of staves has as many lobes as staves: up to five are
# looked for on any wheel (common practice). Five lobes need eleven even places.
LOBES_TO_RESOLVE = 5
ILL = 1e8  # condition beyond which a fit is rounding
DRAWS = 1000  # the ends then stand at the 25th and 975th
AROUND = 240  # places of the model: five lobes lose at most a five-hundredth between two of them
SCEPTIC, FEARFUL = 2.9, 1.3  # natural logarithms of the odds against any one order
LOW_AT, HIGH_AT = 0.0325, 0.975  # of the draws; the fearful end fails more seldom than its share
# Of the draws that hold all orders that stand out. Only where enough orders are looked for: with
# fewer places the interval is none too long.
ALL_AT, ORDERS_FOR_ALL = 0.008, 11
# Of the interval, that lies below the value: more where nothing stands out of the noise.
LEAST_SHARE, SHARE_OF_NONE = 0.33, 0.4
ENOUGH_FREEDOM = 13  # of 24 places: below it a residual says little about the noise
ONE_IN_A_HUNDRED = 2.326348  # of the normal distribution, in standard deviations
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
def _around(top: int) -> NDArray[np.float32]:
    angles = 2 * math.pi * np.arange(AROUND) / AROUND
    return np.ascontiguousarray(fourier_basis(angles, top)[:, 1:].T, dtype=np.float32)


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
    few, many = (chances < _is_there(evidence, one, at.top) for one in (SCEPTIC, FEARFUL))
    spans = _ranges(drawn, many, at.top)
    sceptic = spans.copy()
    # Most draws hold the same orders for both.
    other = np.flatnonzero((few != many).any(axis=1))
    sceptic[:, other] = _ranges(drawn[other], few[other], at.top)
    ends = _ends(sceptic), _ends(spans)
    ends[0][0, 0] = max(ends[0][0, 0], _with_all(drawn, few, sceptic[0], evidence))
    amps = np.hypot(pairs[:, 0], pairs[:, 1])
    run_out, form = (
        _spread(ends[0][k], ends[1][k], _least(evidence[k:], amps[k:])) for k in (0, 1)
    )
    return run_out, form


def _with_all(drawn: Floats, few: NDArray[np.bool_], sceptic: Floats, evidence: Floats) -> float:
    """Lower end of the range where every order that stands out is there; 0 unless several do.

    ``few`` are the orders of the sceptic's draws and ``sceptic`` their ranges.
    """
    top = len(evidence)
    over = evidence > least_evidence(top)
    if top < ORDERS_FOR_ALL or over.sum() < 2:
        return 0.0
    lacking = np.flatnonzero(~few[:, over].all(axis=1))
    if not len(lacking):
        return 0.0
    spans = sceptic.copy()
    spans[lacking] = _ranges(drawn[lacking], few[lacking] | over, top)[0]
    place = round(ALL_AT * (DRAWS - 1))
    return float(np.partition(spans, place)[place])


def _least(evidence: Floats, amps: Floats) -> float | None:
    """The lower end by the one order that stands out of the noise; None where none does.

    0 where several do: then the draws tell it.
    """
    over = np.flatnonzero(evidence > least_evidence(len(evidence)))
    if len(over) != 1:
        return None if not len(over) else 0.0
    root = math.sqrt(float(evidence[over[0]]))
    roots, lows = lower_ends(len(evidence))
    low = float(np.interp(root, roots, lows)) if root < roots[-1] else root - roots[-1] + lows[-1]
    return 2 * float(amps[over[0]]) / root * low


def _spread(sceptic: Floats, fearful: Floats, least: float | None) -> Spread:
    """From low, middle and high of both; ``least`` is None where nothing stands out."""
    low = 0.0 if least is None else max(float(sceptic[0]), least)
    high = max(float(fearful[2]), low)
    middle = (float(sceptic[1]) + float(fearful[1])) / 2
    # Where nothing stands out both middles are 0, and a value of 0 would not be 95 % sure.
    share = SHARE_OF_NONE if least is None else LEAST_SHARE
    return Spread(min(max(middle, low + share * (high - low)), high), low, high)


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
    """Range of f and of f without its first order, of each draw: shape (2, DRAWS).

    One order alone spans twice its amplitude; only what is made of several is looked at all round.
    """
    amp = np.hypot(drawn[:, ::2], drawn[:, 1::2])
    amp[~there] = 0.0
    spans = 2 * np.stack([amp.sum(axis=1), amp[:, 1:].sum(axis=1)])
    lobes = there[:, 1:].sum(axis=1)
    several = np.flatnonzero(lobes + there[:, 0] > 1)
    if len(several):
        # Single precision: a ten-millionth of a span, and half of the time.
        kept = np.where(np.repeat(there[several], 2, axis=1), drawn[several], 0.0)
        used = np.repeat(there[several].any(axis=0), 2)
        used[:2] = False
        form = kept[:, used].astype(np.float32) @ _around(top)[used]
        many = lobes[several] > 1
        spans[1, several[many]] = np.ptp(form[many], axis=1)
        form += kept[:, :2].astype(np.float32) @ _around(top)[:2]
        spans[0, several] = np.ptp(form, axis=1)
    return np.asarray(spans, dtype=np.float64)


def _ends(spans: Floats) -> Floats:
    """Low, middle and high of draws, shape (2, 3)."""
    places = tuple(round(share * (DRAWS - 1)) for share in (LOW_AT, 0.5, HIGH_AT))
    ordered: Floats = np.partition(spans, places, axis=1)[:, places]
    return ordered


def left_over_mm(theta: Floats, readings_mm: Floats) -> float | None:
    """Root mean square, by degrees of freedom, of what five lobes leave; None with too few."""
    freedom = len(theta) - 1 - 2 * LOBES_TO_RESOLVE
    if freedom < ENOUGH_FREEDOM:
        return None
    basis = fourier_basis(theta, LOBES_TO_RESOLVE)
    off = readings_mm - basis @ np.linalg.lstsq(basis, readings_mm, rcond=None)[0]
    return math.sqrt(float(off @ off) / freedom)


def most_noise_mm(theta: Floats, readings_mm: Floats) -> float | None:
    """The noise that may stand behind what five lobes leave: one in a hundred is larger.

    None with too few readings. The quantile of chi-square by Wilson and Hilferty (1931).
    """
    left = left_over_mm(theta, readings_mm)
    if left is None:
        return None
    ninth = 2 / (9 * (len(theta) - 1 - 2 * LOBES_TO_RESOLVE))
    return left * (1 - ninth - ONE_IN_A_HUNDRED * math.sqrt(ninth)) ** -1.5
