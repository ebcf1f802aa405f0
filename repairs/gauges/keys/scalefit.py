"""Is the whole scale wrong, or single tangents? A fit of bridge and nut that no tangent can bend.

The tangents were laid out for a speaking length L. When the bridge stands s·L too far from the nut
and the nut t·L too far from the bridge, and pressing sharpens by p·g (``press``), a key wanted at
w cents sounds off by

    e(w) = K·ln((1 + s + t) / (1 + s·r)) + p·g(r),   K = 1200/ln 2,   r = 2^(w/1200),

above its own open string: the bridge's error grows up the keyboard, the nut's is the same
everywhere, a stretched string's is greatest at the lowest keys. So is a misreading of the open
string like the nut's, whose doubt is therefore carried along. Against a tuner, and with an open
string that was not read, the constant may also be its tuning.

The keys that agree are found from the pair whose line leaves the smallest median deviation, which
half of all keys cannot bend; those further away than 3 robust standard deviations are set aside.
Of the rest each explanation is weighed by its evidence (``evidence``), all of them alike
beforehand, with tangents that stand by chance beside their places counted in all.
Source: least median of squares with reweighting, Rousseeuw and Leroy 1987 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist

from repairs.gauges.base.arrays import Floats, Indices, NDArray, np
from repairs.gauges.keys import evidence
from repairs.gauges.keys.keyboard import CENTS_PER_E
from repairs.gauges.keys.press import Press, usual
from repairs.gauges.keys.robust import Kept, keep
from repairs.gauges.keys.temperament import PER_OCTAVE

Free = tuple[bool, bool, bool]

# Two unknowns (bridge, nut) and a fit that half of the keys may not bend: with fewer than six keys
# two wrong tangents could pass for a wrong bridge.
LEAST_KEYS = 6
OUTLIER_PCT = 5.0
# Bridge or nut move every note at once, so they are blamed only when that is nearly certain.
SURE_PCT = 95.0
_ROUNDS = 20
_BOUND = 0.3  # of the length: a bridge further off than that is a length typed wrongly

# Which of (nut, bridge, press) is free in each explanation, when the open string was read and when
# not.
OPEN_READ: Mapping[str, Free] = {
    "right": (False, False, False),
    "nut": (True, False, False),
    "bridge": (False, True, False),
    "bridge_and_nut": (True, True, False),
    "pressed": (False, False, True),
    "nut_and_pressed": (True, False, True),
    "bridge_and_pressed": (False, True, True),
    "bridge_nut_and_pressed": (True, True, True),
}
OPEN_UNREAD: Mapping[str, Free] = {
    "right": (False, False, False),
    "offset": (True, False, False),
    "bridge_and_offset": (True, True, False),
    "pressed": (False, False, True),
    "offset_and_pressed": (True, False, True),
    "bridge_offset_and_pressed": (True, True, True),
}
# How far things stand off before anything was measured, one standard deviation; figures of the
# house. An open string that was not read may be tuned to another pitch altogether.
PRIOR_BRIDGE_MM, PRIOR_NUT_MM, PRIOR_OFFSET_CENTS = 2.5, 1.5, 25.0


@dataclass(frozen=True)
class ScaleFit:
    """What is wrong with the scale as a whole, and what is left to the tangents.

    ``explanation`` is the likeliest one, ``sure_pct`` its weight among ``weights_pct``;
    ``scale_wrong_pct``, ``bridge_wrong_pct`` and ``pressed_pct`` add up the weights of all
    explanations in which anything, the bridge, or the press of the finger is in it.
    Lengths run from the nut towards the bridge: ``bridge_mm`` > 0 means that the bridge stands too
    far out, ``nut_mm`` > 0 that the nut stands too near the bridge; both None where the
    explanation leaves them as they are. ``offset_cents`` is the constant part of the error,
    ``pressed_cents`` what pressing adds on the middle key of those read, known by ``press_from``.
    ``scatter_mm`` is how far tangents stand beside their places by chance.
    ``set_aside`` are indices of keys that the fit left out, ``fitted_cents`` the part of each
    key's error that the explanation accounts for, ``u_fitted_cents`` the standard uncertainty that
    this leaves in the rest, beside the key's own reading.
    """

    explanation: str
    sure_pct: float
    scale_wrong_pct: float
    bridge_wrong_pct: float
    pressed_pct: float
    weights_pct: Mapping[str, float]
    bridge_mm: float | None
    u_bridge_mm: float | None
    nut_mm: float | None
    u_nut_mm: float | None
    offset_cents: float
    u_offset_cents: float
    pressed_cents: float | None
    u_pressed_cents: float | None
    press_from: str
    effective_length_mm: float | None
    u_effective_length_mm: float | None
    scatter_cents: float
    scatter_mm: float
    u_scatter_mm: float
    rms_before_cents: float
    rms_after_cents: float
    set_aside: tuple[int, ...]
    fitted_cents: Floats
    u_fitted_cents: Floats


@dataclass(frozen=True)
class _Keys:
    """Keys that are fitted, shapes (N,); ``shared`` is the doubt of the open string, cents."""

    ratios: Floats
    off: Floats
    press: Press
    length_mm: float
    shared: float

    def of(self, kept: Indices) -> _Keys:
        """Those of the indices."""
        press = Press(
            self.press.shape_cents[kept], self.press.mean, self.press.u, self.press.source
        )
        return _Keys(self.ratios[kept], self.off[kept], press, self.length_mm, self.shared)


@dataclass(frozen=True)
class _Weighed:
    """Weights of the explanations, and the noise: of each key (N,), and of its two parts."""

    weights: Mapping[str, float]
    variance: Floats
    likeliest: Floats
    reading_cents2: float
    place_mm2: float
    place_mm: float
    u_place_mm: float


def fit_scale(
    wanted_cents: Floats,
    off_cents: Floats,
    length_mm: float,
    u_cents: float,
    u_open_cents: float | None,
    press: Press | None = None,
) -> ScaleFit | None:
    """Return the fit, or None with fewer than ``LEAST_KEYS`` keys, which cannot tell it.

    ``wanted_cents`` and ``off_cents``, both shape (N,), are where each key should stand and how far
    it is off (sharp positive); ``u_cents`` > 0 is the standard uncertainty of one reading,
    ``u_open_cents`` that of the open string's, None when that was not read; ``press`` what is
    known of the finger's press (its shape has (N,) too). The parameters are least squares with the
    likeliest noise, their doubt is that of the noise's average.
    """
    if len(off_cents) < LEAST_KEYS:
        return None
    ratios = 2.0 ** (wanted_cents / PER_OCTAVE)
    keys = _Keys(ratios, off_cents, press or usual(ratios), length_mm, u_open_cents or 0.0)
    per_mm = CENTS_PER_E * ratios / length_mm
    found = keep(ratios, off_cents, u_cents, per_mm, keys.press.shape_cents)
    models = OPEN_READ if u_open_cents is not None else OPEN_UNREAD
    weighed = _weigh(keys.of(found.indices), per_mm[found.indices], u_cents, models)
    best = max(weighed.weights, key=lambda name: weighed.weights[name])
    for _ in range(_ROUNDS):
        again = found.with_those(_agree(keys, found, models[best], weighed, per_mm))
        if len(again.indices) == len(found.indices):
            break
        found = again
        weighed = _weigh(keys.of(found.indices), per_mm[found.indices], u_cents, models)
        best = max(weighed.weights, key=lambda name: weighed.weights[name])
    best = _named(weighed.weights)
    likely = [name for name, weight in weighed.weights.items() if weight >= 1.0 or name == best]
    part = keys.of(found.indices)
    by_name = {name: _solve(part, models[name], weighed.likeliest) for name in likely}
    return _report(best, models, weighed, by_name, keys, found)


def _named(weights: Mapping[str, float]) -> str:
    """The likeliest explanation that moves no end which may as well stand right.

    An end is named where all explanations with it are sure together; where those without are
    surely wrong themselves, the likeliest of all is.
    """
    unsure = [end for end in ("bridge", "nut") if _having(weights, end) < SURE_PCT]
    is_wrong = weights["right"] <= 100.0 - SURE_PCT
    kept = {
        name: weight
        for name, weight in weights.items()
        if not any(end in name for end in unsure) and not (is_wrong and name == "right")
    }
    found = kept if sum(kept.values()) > 100.0 - SURE_PCT else weights
    return max(found, key=lambda name: found[name])


def _agree(
    keys: _Keys, found: Kept, free: Free, weighed: _Weighed, per_mm: Floats
) -> NDArray[np.bool_]:
    """Which keys lie as near as chance allows, by the noise as it is averaged; shape (N,).

    A deviation that the fit did not see is doubted by its noise and by the fit; of all keys
    together one in twenty keyboards has one set aside without cause (Bonferroni).
    Source: Cook and Weisberg 1982, 2.2 (externally studentized residuals; from memory).
    """
    part = keys.of(found.indices)
    theta = _solve(part, free, weighed.likeliest)
    cov = _doubt(part, free, theta, weighed, keys.shared)
    slopes = _slopes(theta, keys)
    own = weighed.reading_cents2 + weighed.place_mm2 * per_mm**2 + keys.shared**2
    u = np.sqrt(own + np.einsum("ni,ij,nj->n", slopes, cov, slopes))
    cut = _quantile(OUTLIER_PCT / 100.0 / len(keys.off), len(part.off) - sum(free) - 2)
    return np.asarray(np.abs(keys.off - _model(theta, keys)) <= cut * u)


def _weigh(keys: _Keys, per_mm: Floats, u_cents: float, models: Mapping[str, Free]) -> _Weighed:
    """The evidence of each explanation, linear about the fit of nut and bridge together."""
    noise, free, is_read = evidence.noises(per_mm, u_cents), (True, True, False), "nut" in models
    middle = _solve(keys, free, noise.variance[0])
    slopes = _slopes(middle, keys)
    errors = keys.off - _model(middle, keys) + slopes[:, :2] @ middle[:2]
    nut = PRIOR_NUT_MM / keys.length_mm if is_read else PRIOR_OFFSET_CENTS / CENTS_PER_E
    prior = np.array([nut, PRIOR_BRIDGE_MM / keys.length_mm, keys.press.u])
    shared = np.full((len(errors), 1), keys.shared)
    terms = {}
    for name, which in models.items():
        design = (slopes * prior)[:, np.flatnonzero(which)]
        left = errors - keys.press.mean * keys.press.shape_cents if which[2] else errors
        terms[name] = evidence.log_evidence(left, np.hstack([design, shared]), noise.variance)
    shares = evidence.shares(np.array([evidence.total(one) for one in terms.values()]))
    weights = dict(zip(terms, (100.0 * shares).tolist(), strict=True))
    best = terms[max(weights, key=lambda name: weights[name])]
    of_noise = evidence.shares(best)
    place = float(of_noise @ noise.place_mm)
    u_place = math.sqrt(max(0.0, float(of_noise @ noise.place_mm**2) - place**2))
    reading2, place2 = of_noise @ noise.reading_cents**2, of_noise @ noise.place_mm**2
    likeliest = noise.variance[int(np.argmax(best))]
    variance = reading2 + place2 * per_mm**2
    return _Weighed(weights, variance, likeliest, float(reading2), float(place2), place, u_place)


def _model(theta: Floats, keys: _Keys) -> Floats:
    t, s, p = theta
    bent = CENTS_PER_E * (np.log(1.0 + s + t) - np.log(1.0 + s * keys.ratios))
    return np.asarray(bent + p * keys.press.shape_cents)


def _slopes(theta: Floats, keys: _Keys) -> Floats:
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


def _solve(keys: _Keys, free: Free, variance: Floats) -> Floats:
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
        slopes = white @ _slopes(theta, keys)[:, which]
        left = white @ (keys.off - _model(theta, keys))
        if known is not None:
            slopes = np.vstack([slopes, known])
            left = np.append(left, float(known[0, -1]) * (keys.press.mean - theta[2]))
        step, *_ = np.linalg.lstsq(slopes, left, rcond=None)
        before = theta.copy()
        theta[which] = np.clip(theta[which] + step, low[which], high[which])
        if float(np.abs(theta - before).max()) < 1e-14:
            break
    return theta


def _doubt(keys: _Keys, free: Free, theta: Floats, weighed: _Weighed, shared: float) -> Floats:
    """The covariance of the parameters, shape (3, 3).

    They were solved with the likeliest noise; the noise is what it is on average. So the doubt of
    the keys is carried through the solution, not read off its weights.
    """
    cov = np.zeros((3, 3))
    which = np.flatnonzero(free)
    if which.size == 0:
        return cov
    white = _whitener(weighed.likeliest, keys.shared)
    slopes = _slopes(theta, keys)[:, which]
    known = np.zeros(len(which))
    if free[2]:
        known[-1] = 1.0 / max(keys.press.u, 1e-9) ** 2
    weight = white.T @ white
    inverse = np.linalg.pinv(slopes.T @ weight @ slopes + np.diag(known))
    gain = inverse @ slopes.T @ weight
    noise = np.diag(weighed.variance) + shared**2
    cov[np.ix_(which, which)] = gain @ noise @ gain.T + inverse @ np.diag(known) @ inverse
    return cov


def _report(
    best: str,
    models: Mapping[str, Free],
    weighed: _Weighed,
    solved: Mapping[str, Floats],
    keys: _Keys,
    found: Kept,
) -> ScaleFit:
    part, theta = keys.of(found.indices), solved[best]
    t, s, p = theta
    cov = _doubt(part, models[best], theta, weighed, keys.shared)
    # A free constant takes up the open string's misreading: the fitted part does not doubt it.
    shared = 0.0 if models[best][0] else keys.shared
    inner = _doubt(part, models[best], theta, weighed, shared)
    slopes = _slopes(theta, keys)
    u_fitted = np.hypot(np.sqrt(np.einsum("ni,ij,nj->n", slopes, inner, slopes)), shared)
    few = _student(len(part.off) - sum(models[best]) - 2)
    u_t, u_s, u_p = few * np.sqrt(np.diag(cov)) * (keys.length_mm, keys.length_mm, 1.0)
    u_t, u_s = (
        math.hypot(u, _between(weighed.weights, models, solved, n) * keys.length_mm)
        for n, u in enumerate((u_t, u_s))
    )
    nut, bridge, pressed = models[best][0] and "nut" in best, models[best][1], models[best][2]
    fitted = _model(theta, keys)
    middle = float(np.median(part.press.shape_cents))
    whole = 1.0 + s + t
    return ScaleFit(
        explanation=best,
        sure_pct=weighed.weights[best],
        scale_wrong_pct=100.0 - weighed.weights["right"],
        bridge_wrong_pct=_having(weighed.weights, "bridge"),
        pressed_pct=_having(weighed.weights, "pressed"),
        weights_pct=weighed.weights,
        bridge_mm=float(s * keys.length_mm) if bridge else None,
        u_bridge_mm=float(u_s) if bridge else None,
        nut_mm=float(-t * keys.length_mm) if nut else None,
        u_nut_mm=float(u_t) if nut else None,
        offset_cents=float(CENTS_PER_E * math.log(whole)),
        u_offset_cents=float(CENTS_PER_E / whole * math.sqrt(float(cov[:2, :2].sum()))),
        pressed_cents=float(p * middle) if pressed else None,
        u_pressed_cents=float(u_p * middle) if pressed else None,
        press_from=keys.press.source,
        effective_length_mm=float((1.0 + s) * keys.length_mm) if bridge else None,
        u_effective_length_mm=float(u_s) if bridge else None,
        scatter_cents=math.sqrt(float(np.median(weighed.variance))),
        scatter_mm=weighed.place_mm,
        u_scatter_mm=weighed.u_place_mm,
        rms_before_cents=math.sqrt(float(np.mean(keys.off**2))),
        rms_after_cents=math.sqrt(float(np.mean((keys.off - fitted) ** 2))),
        set_aside=found.aside,
        fitted_cents=fitted,
        u_fitted_cents=u_fitted,
    )


def _quantile(beyond: float, freedom: int) -> float:
    """What a share ``beyond`` of Student's distribution passes, to both sides.

    Source: Abramowitz and Stegun 1964, 26.7.5.
    """
    z, n = NormalDist().inv_cdf(1.0 - beyond / 2.0), max(freedom, 2)
    first, second = (z**3 + z) / 4.0, (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0
    return z + first / n + second / n**2


def _student(freedom: int) -> float:
    """How much wider 95 % are of Student's distribution than of the normal one."""
    return _quantile(0.05, freedom) / NormalDist().inv_cdf(0.975)


def _having(weights: Mapping[str, float], word: str) -> float:
    return sum(weight for name, weight in weights.items() if word in name)


def _between(
    weights: Mapping[str, float],
    models: Mapping[str, Free],
    solved: Mapping[str, Floats],
    place: int,
) -> float:
    """How far the explanations differ on a parameter that they leave free, by their weights."""
    names = [name for name in solved if models[name][place]]
    if len(names) < 2:
        return 0.0
    share = np.array([weights[name] for name in names]) / sum(weights[name] for name in names)
    values = np.array([solved[name][place] for name in names])
    return math.sqrt(max(0.0, float(share @ (values - float(share @ values)) ** 2)))
