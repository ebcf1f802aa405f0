"""Is the whole scale wrong, or single tangents? A fit of bridge and nut that no tangent can bend.

The tangents were laid out for a speaking length L. When the bridge stands s·L too far from the nut
and the nut t·L too far from the bridge, a key wanted at w cents sounds off by

    e(w) = K·ln((1 + s + t) / (1 + s·r)),   K = 1200/ln 2,   r = 2^(w/1200),

above its own open string: the bridge's error grows up the keyboard, the nut's is the same
everywhere. So is a misreading of the open string, whose doubt is therefore carried along. Against
a tuner, and with an open string that was not read, the constant may also be its tuning.

The fit starts from the pair of keys whose line leaves the smallest median deviation, which half of
all keys cannot bend; keys further away than 3 robust standard deviations are set aside, and the
rest is fitted by least squares, until the set no longer changes.
Source: least median of squares with reweighting, Rousseeuw and Leroy 1987 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, Indices, np
from repairs.gauges.keys.keyboard import CENTS_PER_E
from repairs.gauges.keys.temperament import PER_OCTAVE

# Two unknowns (bridge, nut) and a fit that half of the keys may not bend: with fewer than six keys
# two wrong tangents could pass for a wrong bridge.
LEAST_KEYS = 6
CUT = 3.0  # robust standard deviations: three keys in a thousand are set aside without cause
_ROUNDS = 20
_BOUND = 0.3  # of the length: a bridge further off than that is a length typed wrongly

# Which of (nut, bridge) is free in each explanation, when the open string was read and when not.
OPEN_READ: Mapping[str, tuple[bool, bool]] = {
    "right": (False, False),
    "nut": (True, False),
    "bridge": (False, True),
    "bridge_and_nut": (True, True),
}
OPEN_UNREAD: Mapping[str, tuple[bool, bool]] = {
    "right": (False, False),
    "offset": (True, False),
    "bridge_and_offset": (True, True),
}


@dataclass(frozen=True)
class ScaleFit:
    """What is wrong with the scale as a whole, and what is left to the tangents.

    ``explanation`` is the likeliest one, ``sure_pct`` its weight among ``weights_pct`` (by BIC);
    ``scale_wrong_pct`` and ``bridge_wrong_pct`` add up the weights of all explanations in which
    anything, or the bridge, is wrong.
    Lengths run from the nut towards the bridge: ``bridge_mm`` > 0 means that the bridge stands too
    far out, ``nut_mm`` > 0 that the nut stands too near the bridge; both None where the
    explanation leaves them as they are. ``offset_cents`` is the constant part of the error.
    ``set_aside`` are indices of keys that the fit left out, ``fitted_cents`` the part of each
    key's error that the explanation accounts for, ``u_fitted_cents`` the standard uncertainty that
    this leaves in the rest, beside the key's own reading.
    """

    explanation: str
    sure_pct: float
    scale_wrong_pct: float
    bridge_wrong_pct: float
    weights_pct: Mapping[str, float]
    bridge_mm: float | None
    u_bridge_mm: float | None
    nut_mm: float | None
    u_nut_mm: float | None
    offset_cents: float
    u_offset_cents: float
    effective_length_mm: float | None
    u_effective_length_mm: float | None
    scatter_cents: float
    rms_before_cents: float
    rms_after_cents: float
    set_aside: tuple[int, ...]
    fitted_cents: Floats
    u_fitted_cents: Floats


@dataclass(frozen=True)
class _Solved:
    """Parameters (t, s) with covariance, both relative to L; fixed ones are 0."""

    theta: Floats
    cov: Floats


def fit_scale(
    wanted_cents: Floats,
    off_cents: Floats,
    length_mm: float,
    u_cents: float,
    u_open_cents: float | None,
) -> ScaleFit | None:
    """Return the fit, or None with fewer than ``LEAST_KEYS`` keys, which cannot tell it.

    ``wanted_cents`` and ``off_cents``, both shape (N,), are where each key should stand and how far
    it is off (sharp positive); ``u_cents`` > 0 is the standard uncertainty of one reading,
    ``u_open_cents`` that of the open string's, None when that was not read.
    Weights of the explanations: exp(−BIC/2), BIC = Σ(r/σ)² + p·ln n over the keys kept, with σ the
    larger of the scatter and ``u_cents``. Source: Schwarz 1978 (from memory).
    """
    if len(off_cents) < LEAST_KEYS:
        return None
    ratios = 2.0 ** (wanted_cents / PER_OCTAVE)
    kept, sigma = _keep(ratios, off_cents, u_cents)
    models = OPEN_UNREAD if u_open_cents is None else OPEN_READ
    noise = (sigma, u_open_cents or 0.0)
    solved, bics = {}, {}
    for name, free in models.items():
        solved[name] = _solve(ratios[kept], off_cents[kept], free, noise)
        left = _whitener(len(kept), noise) @ (
            off_cents[kept] - _model(solved[name].theta, ratios[kept])
        )
        bics[name] = float(left @ left) + sum(free) * math.log(len(kept))
    best = min(bics, key=lambda name: bics[name])
    shares = {name: math.exp((bics[best] - bic) / 2.0) for name, bic in bics.items()}
    weights = {name: 100.0 * share / sum(shares.values()) for name, share in shares.items()}
    # A free constant takes up the open string's misreading: the fitted part does not doubt it.
    absorbed = (sigma, 0.0 if models[best][0] else noise[1])
    cov = _solve(ratios[kept], off_cents[kept], models[best], absorbed).cov
    slopes = _slopes(solved[best].theta, ratios)
    u_fitted = np.hypot(np.sqrt(np.einsum("ni,ij,nj->n", slopes, cov, slopes)), absorbed[1])
    return _report(
        best, weights, solved[best], (ratios, off_cents, kept, sigma), length_mm, u_fitted
    )


def _model(theta: Floats, ratios: Floats) -> Floats:
    t, s = theta
    return CENTS_PER_E * (np.log(1.0 + s + t) - np.log(1.0 + s * ratios))


def _slopes(theta: Floats, ratios: Floats) -> Floats:
    """Derivatives of the model by t and s, shape (N, 2)."""
    t, s = theta
    whole = 1.0 / (1.0 + s + t)
    by_s = whole - ratios / (1.0 + s * ratios)
    return CENTS_PER_E * np.column_stack([np.full_like(ratios, whole), by_s])


def _whitener(count: int, noise: tuple[float, float]) -> Floats:
    """Turns deviations with own scatter σ and a shared doubt u into independent ones of size 1."""
    sigma, shared = noise
    covariance = sigma**2 * np.eye(count) + shared**2 * np.ones((count, count))
    return np.linalg.inv(np.linalg.cholesky(covariance))


def _solve(
    ratios: Floats, off: Floats, free: tuple[bool, bool], noise: tuple[float, float]
) -> _Solved:
    """Least squares by Gauss and Newton over the free parameters."""
    theta, cov = np.zeros(2), np.zeros((2, 2))
    which = np.flatnonzero(free)
    if which.size == 0:
        return _Solved(theta, cov)
    white = _whitener(len(off), noise)
    # No length may turn round: 1 + s·r stays positive for the highest key.
    low = np.array([-_BOUND, max(-_BOUND, -0.9 / float(ratios.max()))])
    for _ in range(_ROUNDS):
        slopes = white @ _slopes(theta, ratios)[:, which]
        step, *_ = np.linalg.lstsq(slopes, white @ (off - _model(theta, ratios)), rcond=None)
        before = theta.copy()
        theta[which] = np.clip(theta[which] + step, low[which], _BOUND)
        if float(np.abs(theta - before).max()) < 1e-14:
            break
    slopes = white @ _slopes(theta, ratios)[:, which]
    cov[np.ix_(which, which)] = np.linalg.pinv(slopes.T @ slopes)
    return _Solved(theta, cov)


def _keep(ratios: Floats, off: Floats, u_cents: float) -> tuple[Indices, float]:
    """Return the indices of the keys that agree on one scale, and their scatter in cents."""
    left = _start(ratios, off)
    kept: Indices = np.arange(0)
    for _ in range(_ROUNDS):
        sigma = _robust(left, u_cents)
        again = np.flatnonzero(np.abs(left) <= CUT * sigma)
        if np.array_equal(again, kept):
            break
        kept = again
        solved = _solve(ratios[kept], off[kept], (True, True), (sigma, 0.0))
        left = off - _model(solved.theta, ratios)
    # What is set aside hides scatter; 1 + 3/n makes up for it (found by simulation).
    scatter = math.sqrt(float(np.sum(left[kept] ** 2)) / max(1, len(kept) - 2))
    scatter *= 1.0 + 3.0 / len(kept)
    return kept, max(scatter, u_cents)


def _robust(left: Floats, u_cents: float) -> float:
    """The scatter that half of all deviations tell, not below one reading's own doubt."""
    middle = float(np.median(np.abs(left)))
    return max(1.4826 * (1.0 + 5.0 / (len(left) - 2)) * middle, u_cents)


def _start(ratios: Floats, off: Floats) -> Floats:
    """Deviations from the line e = a + b·r through the pair of keys that fits the middle best."""
    first, second = np.triu_indices(len(off), k=1)
    slope = (off[second] - off[first]) / (ratios[second] - ratios[first])
    base = off[first] - slope * ratios[first]
    left = off[None, :] - base[:, None] - slope[:, None] * ratios[None, :]
    best = int(np.argmin(np.median(np.abs(left), axis=1)))
    return left[best]


def _report(
    best: str,
    weights: Mapping[str, float],
    solved: _Solved,
    data: tuple[Floats, Floats, Indices, float],
    length_mm: float,
    u_fitted: Floats,
) -> ScaleFit:
    ratios, off, kept, sigma = data
    (t, s), cov = solved.theta, solved.cov
    fitted = _model(solved.theta, ratios)
    u_t, u_s = np.sqrt(np.diag(cov)) * length_mm
    has_bridge, has_nut = "bridge" in best, "nut" in best
    whole = 1.0 + s + t
    u_offset = CENTS_PER_E / whole * math.sqrt(float(cov.sum()))
    after = off - fitted
    return ScaleFit(
        explanation=best,
        sure_pct=weights[best],
        scale_wrong_pct=100.0 - weights["right"],
        bridge_wrong_pct=sum(w for name, w in weights.items() if "bridge" in name),
        weights_pct=dict(weights),
        bridge_mm=float(s * length_mm) if has_bridge else None,
        u_bridge_mm=float(u_s) if has_bridge else None,
        nut_mm=float(-t * length_mm) if has_nut else None,
        u_nut_mm=float(u_t) if has_nut else None,
        offset_cents=float(CENTS_PER_E * math.log(whole)),
        u_offset_cents=float(u_offset),
        effective_length_mm=float((1.0 + s) * length_mm) if has_bridge else None,
        u_effective_length_mm=float(u_s) if has_bridge else None,
        scatter_cents=sigma,
        rms_before_cents=math.sqrt(float(np.mean(off**2))),
        rms_after_cents=math.sqrt(float(np.mean(after**2))),
        set_aside=tuple(int(i) for i in np.setdiff1d(np.arange(len(off)), kept)),
        fitted_cents=fitted,
        u_fitted_cents=u_fitted,
    )
