"""The law of a keyboard's errors by nut, bridge and press: solved for, and its doubt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist

from repairs.gauges.base.arrays import Floats, Indices, np
from repairs.gauges.keys.keyboard import CENTS_PER_E
from repairs.gauges.keys.press import Press

Free = tuple[bool, bool, bool]

_ROUNDS = 20
_BOUND = 0.3  # of the length: a bridge further off than that is a length typed wrongly


@dataclass(frozen=True)
class FittedKeys:
    """Keys that are fitted, shapes (N,); ``shared`` is the doubt of the open string, cents."""

    ratios: Floats
    off: Floats
    press: Press
    length_mm: float
    shared: float

    def of(self, kept: Indices) -> FittedKeys:
        """Those of the indices."""
        press = Press(
            self.press.shape_cents[kept], self.press.mean, self.press.u, self.press.source
        )
        return FittedKeys(self.ratios[kept], self.off[kept], press, self.length_mm, self.shared)


@dataclass(frozen=True)
class Weighed:
    """Weights of the explanations, and the noise: of each key (N,), and of its two parts."""

    weights: Mapping[str, float]
    variance: Floats
    likeliest: Floats
    reading_cents2: float
    place_mm2: float
    place_mm: float
    u_place_mm: float


def law_cents(theta: Floats, keys: FittedKeys) -> Floats:
    """The error of each key, cents, by (t, s, p); see ``scalefit``."""
    t, s, p = theta
    bent = CENTS_PER_E * (np.log(1.0 + s + t) - np.log(1.0 + s * keys.ratios))
    return np.asarray(bent + p * keys.press.shape_cents)


def slopes_of(theta: Floats, keys: FittedKeys) -> Floats:
    """Derivatives of the model by t, s and p, shape (N, 3)."""
    t, s, _p = theta
    whole = 1.0 / (1.0 + s + t)
    by_s = whole - keys.ratios / (1.0 + s * keys.ratios)
    bent = CENTS_PER_E * np.column_stack([np.full_like(keys.ratios, whole), by_s])
    return np.column_stack([bent, keys.press.shape_cents])


def _whitener(variance: Floats, shared: float) -> Floats:
    """Turns deviations with own noise and a shared doubt into independent ones of size 1."""
    covariance = np.diag(variance) + shared**2 * np.ones((len(variance), len(variance)))
    return np.asarray(np.linalg.inv(np.linalg.cholesky(covariance)))


def solved_for(keys: FittedKeys, free: Free, variance: Floats) -> Floats:
    """Return (t, s, p), t and s relative to L, fixed ones 0.

    Least squares by Gauss and Newton over the free parameters; the press keeps its prior.
    """
    theta = np.zeros(3)
    which = np.flatnonzero(free)
    if which.size == 0:
        return theta
    white = _whitener(variance, keys.shared)
    # No length may turn round: 1 + s·r stays positive for the highest key.
    low = np.array([-_BOUND, max(-_BOUND, -0.9 / float(keys.ratios.max())), -np.inf])
    high = np.array([_BOUND, _BOUND, np.inf])
    known = np.array([[0.0, 0.0, 1.0 / max(keys.press.u, 1e-9)]])[:, which] if free[2] else None
    for _ in range(_ROUNDS):
        slopes = white @ slopes_of(theta, keys)[:, which]
        left = white @ (keys.off - law_cents(theta, keys))
        if known is not None:
            slopes = np.vstack([slopes, known])
            left = np.append(left, float(known[0, -1]) * (keys.press.mean - theta[2]))
        step, *_ = np.linalg.lstsq(slopes, left, rcond=None)
        before = theta.copy()
        theta[which] = np.clip(theta[which] + step, low[which], high[which])
        if float(np.abs(theta - before).max()) < 1e-14:
            break
    return theta


def doubt_of(
    keys: FittedKeys, free: Free, theta: Floats, weighed: Weighed, shared: float
) -> Floats:
    """The covariance of the parameters, shape (3, 3).

    They were solved with the likeliest noise; the noise is what it is on average. So the doubt of
    the keys is carried through the solution, not read off its weights.
    """
    cov = np.zeros((3, 3))
    which = np.flatnonzero(free)
    if which.size == 0:
        return cov
    white = _whitener(weighed.likeliest, keys.shared)
    slopes = slopes_of(theta, keys)[:, which]
    known = np.zeros(len(which))
    if free[2]:
        known[-1] = 1.0 / max(keys.press.u, 1e-9) ** 2
    weight = white.T @ white
    inverse = np.linalg.pinv(slopes.T @ weight @ slopes + np.diag(known))
    gain = inverse @ slopes.T @ weight
    noise = np.diag(weighed.variance) + shared**2
    cov[np.ix_(which, which)] = gain @ noise @ gain.T + inverse @ np.diag(known) @ inverse
    return cov


def student_beyond(beyond: float, freedom: int) -> float:
    """What a share ``beyond`` of Student's distribution passes, to both sides.

    Source: Abramowitz and Stegun 1964, 26.7.5.
    """
    z, n = NormalDist().inv_cdf(1.0 - beyond / 2.0), max(freedom, 2)
    first, second = (z**3 + z) / 4.0, (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0
    return z + first / n + second / n**2


def wider_than_normal(freedom: int) -> float:
    """How much wider 95 % are of Student's distribution than of the normal one."""
    return student_beyond(0.05, freedom) / NormalDist().inv_cdf(0.975)
