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

from repairs.gauges.base.arrays import Floats, NDArray, np
from repairs.gauges.keys import evidence
from repairs.gauges.keys.keyboard import CENTS_PER_E
from repairs.gauges.keys.press import Press, usual
from repairs.gauges.keys.robust import Kept, keep
from repairs.gauges.keys.scalelaw import (
    FittedKeys,
    Free,
    Weighed,
    doubt_of,
    law_cents,
    slopes_of,
    solved_for,
    student_beyond,
    wider_than_normal,
)
from repairs.gauges.keys.temperament import PER_OCTAVE

# Two unknowns (bridge, nut) and a fit that half of the keys may not bend: with fewer than six keys
# two wrong tangents could pass for a wrong bridge.
LEAST_KEYS = 6
OUTLIER_PCT = 5.0
# Bridge or nut move every note at once, so they are blamed only when that is nearly certain.
SURE_PCT = 95.0
_ROUNDS = 20

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
    keys = FittedKeys(ratios, off_cents, press or usual(ratios), length_mm, u_open_cents or 0.0)
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
    by_name = {name: solved_for(part, models[name], weighed.likeliest) for name in likely}
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
    keys: FittedKeys, found: Kept, free: Free, weighed: Weighed, per_mm: Floats
) -> NDArray[np.bool_]:
    """Which keys lie as near as chance allows, by the noise as it is averaged; shape (N,).

    A deviation that the fit did not see is doubted by its noise and by the fit; of all keys
    together one in twenty keyboards has one set aside without cause (Bonferroni).
    Source: Cook and Weisberg 1982, 2.2 (externally studentized residuals; from memory).
    """
    part = keys.of(found.indices)
    theta = solved_for(part, free, weighed.likeliest)
    cov = doubt_of(part, free, theta, weighed, keys.shared)
    slopes = slopes_of(theta, keys)
    own = weighed.reading_cents2 + weighed.place_mm2 * per_mm**2 + keys.shared**2
    u = np.sqrt(own + np.einsum("ni,ij,nj->n", slopes, cov, slopes))
    cut = student_beyond(OUTLIER_PCT / 100.0 / len(keys.off), len(part.off) - sum(free) - 2)
    return np.asarray(np.abs(keys.off - law_cents(theta, keys)) <= cut * u)


def _weigh(keys: FittedKeys, per_mm: Floats, u_cents: float, models: Mapping[str, Free]) -> Weighed:
    """The evidence of each explanation, linear about the fit of nut and bridge together."""
    noise, free, is_read = evidence.noises(per_mm, u_cents), (True, True, False), "nut" in models
    middle = solved_for(keys, free, noise.variance[0])
    slopes = slopes_of(middle, keys)
    errors = keys.off - law_cents(middle, keys) + slopes[:, :2] @ middle[:2]
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
    return Weighed(weights, variance, likeliest, float(reading2), float(place2), place, u_place)


def _report(
    best: str,
    models: Mapping[str, Free],
    weighed: Weighed,
    solved: Mapping[str, Floats],
    keys: FittedKeys,
    found: Kept,
) -> ScaleFit:
    part, theta = keys.of(found.indices), solved[best]
    t, s, p = theta
    cov = doubt_of(part, models[best], theta, weighed, keys.shared)
    # A free constant takes up the open string's misreading: the fitted part does not doubt it.
    shared = 0.0 if models[best][0] else keys.shared
    inner = doubt_of(part, models[best], theta, weighed, shared)
    slopes = slopes_of(theta, keys)
    u_fitted = np.hypot(np.sqrt(np.einsum("ni,ij,nj->n", slopes, inner, slopes)), shared)
    few = wider_than_normal(len(part.off) - sum(models[best]) - 2)
    u_t, u_s, u_p = few * np.sqrt(np.diag(cov)) * (keys.length_mm, keys.length_mm, 1.0)
    u_t, u_s = (
        math.hypot(u, _between(weighed.weights, models, solved, n) * keys.length_mm)
        for n, u in enumerate((u_t, u_s))
    )
    nut, bridge, pressed = models[best][0] and "nut" in best, models[best][1], models[best][2]
    fitted = law_cents(theta, keys)
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
