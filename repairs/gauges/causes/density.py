"""How likely a value is, given what is true: a few families of distribution, widened by u.

A distribution is plain data: ``["rayleigh", s]``, ``["normal", m, s]``, ``["lognormal", median,
s]`` (s of the natural logarithm), ``["logeven", a, b]`` (even in the logarithm), ``["even", a,
b]``, ``["words", {word: p}]``, ``["mixture", [share, distribution], …]``. Source of every
figure: common practice, from the fixture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from statistics import NormalDist
from typing import Any

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.errors import GaugeInputError

Spec = Sequence[Any]

# What no distribution foresees: a slip of the pen, a fault that nobody has listed. One reading in
# two thousand is such; so no single figure outweighs all else without bound.
STRAY = 5e-4
PLACES = 41  # points of the normal distribution over which a value is spread by its u
_NORMAL = NormalDist()
_ROOT = math.sqrt(2.0 * math.pi)


def density(spec: Spec, value: float | str, u: float = 0.0, span: float = 1.0) -> float:
    """Return the density of ``value`` with standard uncertainty ``u``, per unit of the value.

    For words it is their probability. ``span`` is the width over which a stray value may fall, in
    the unit of the value. Raises GaugeInputError when the family is not known.
    """
    if spec[0] == "words":
        return (1.0 - STRAY) * float(spec[1].get(str(value), 0.0)) + STRAY / span
    places, weights = _spread() if u > 0 else (np.zeros(1), np.ones(1))
    likely = float(_plain(spec, float(value) + u * places) @ weights)
    return (1.0 - STRAY) * likely + STRAY / span


def draw(spec: Spec, uniform: float) -> float | str:
    """Return the value below which the share ``uniform`` of a distribution lies."""
    kind, *ends = spec
    if kind == "words":
        return _word(spec[1], uniform)
    if kind == "mixture":
        return _drawn_of(ends, uniform)
    if kind == "rayleigh":
        return float(ends[0]) * math.sqrt(-2.0 * math.log1p(-uniform))
    if kind == "logeven":
        return float(ends[0]) * (float(ends[1]) / float(ends[0])) ** uniform
    if kind == "even":
        return float(ends[0]) + (float(ends[1]) - float(ends[0])) * uniform
    z = _NORMAL.inv_cdf(uniform)
    if kind == "lognormal":
        return float(ends[0]) * math.exp(float(ends[1]) * z)
    return float(ends[0]) + float(ends[1]) * z


def _drawn_of(parts: Sequence[Any], uniform: float) -> float | str:
    """Which part of a mixture, and where in it, by one number."""
    below = 0.0
    for share, spec in parts[:-1]:
        if uniform < below + share:
            return draw(spec, (uniform - below) / share)
        below += share
    share, spec = parts[-1]
    return draw(spec, min((uniform - below) / share, 1.0 - 1e-9))


def _word(shares: dict[str, float], uniform: float) -> str:
    total, last = 0.0, ""
    for word, share in shares.items():
        total, last = total + share, word
        if uniform < total:
            return word
    return last


@cache
def _spread() -> tuple[Floats, Floats]:
    """Places of the standard normal distribution, and what each of them weighs."""
    places = np.linspace(-3.5, 3.5, PLACES)
    weights = np.exp(-0.5 * places**2)
    return places, weights / weights.sum()


def _plain(spec: Spec, x: Floats) -> Floats:
    kind = spec[0]
    if kind == "mixture":
        parts: Floats = sum(share * _plain(one, x) for share, one in spec[1:])
        return parts
    if kind == "rayleigh":
        s, up = float(spec[1]), np.maximum(x, 0.0)
        return up / s**2 * np.exp(-0.5 * (up / s) ** 2)
    if kind == "normal":
        m, s = float(spec[1]), float(spec[2])
        return np.exp(-0.5 * ((x - m) / s) ** 2) / (s * _ROOT)
    if kind in {"lognormal", "logeven"}:
        return _in_logarithm(spec, x)
    if kind == "even":
        a, b = float(spec[1]), float(spec[2])
        return np.where((x >= a) & (x <= b), 1.0 / (b - a), 0.0)
    known = "rayleigh, normal, lognormal, logeven, even, words"
    raise GaugeInputError("unknown", field="distribution", value=kind, known=known)


def _in_logarithm(spec: Spec, x: Floats) -> Floats:
    a, b = float(spec[1]), float(spec[2])
    safe = np.where(x > 0, x, 1.0)
    if spec[0] == "logeven":
        inside = (x >= a) & (x <= b)
        return np.where(inside, 1.0 / (safe * math.log(b / a)), 0.0)
    z = np.log(safe / a) / b
    return np.where(x > 0, np.exp(-0.5 * z**2) / (safe * b * _ROOT), 0.0)
