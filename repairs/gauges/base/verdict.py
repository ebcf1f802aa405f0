"""Is a measured value inside its limits, given how sure it is?

Guard bands after JCGM 106:2012, section 8: with a standard uncertainty u and a coverage factor k,
a value is *inside* when it lies in the limits narrowed by k·u on each side, *outside* when it lies
beyond the limits widened by k·u, and *doubtful* in between. Without a limit, or without a known
uncertainty, it is *not judged*. k = 1.645 keeps the chance of a wrong “inside” or “outside” below
5 % for a normal distribution (one-sided 95 % quantile, same source, annex A).

Between two limits that lie within a few u of one another, both tails count: one k alone would let
that chance grow to 10 %. *Inside* then asks that 95 % of the distribution lies between both
(7.2), and *outside* is widened to the k of both tails, 1.960 where the limits are one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.checks import number
from repairs.gauges.base.errors import GaugeInputError

VERSION = "verdict 2"
K = 1.645
_HALVINGS = 40
_HAIR_PCT = 0.05  # the far tail of limits 5 u apart: 5.02 % is 5 %

Word = Literal["inside", "doubtful", "outside", "not_judged"]
COMMON_PRACTICE = "common practice"


@dataclass(frozen=True)
class Limit:
    """What a value should be: from ``lower`` to ``upper`` (either may be open), with its source."""

    lower: float | None
    upper: float | None
    unit: str
    source: str = COMMON_PRACTICE

    def __post_init__(self) -> None:
        for name in ("lower", "upper"):
            value = getattr(self, name)
            if value is not None:
                number(name, value)
        if self.lower is not None and self.upper is not None and self.lower > self.upper:
            raise GaugeInputError("too_big", field="lower", value=self.lower, limit=self.upper)

    @property
    def is_open(self) -> bool:
        """Nothing can lie outside of it: the house has set no end."""
        return self.lower is None and self.upper is None


@dataclass(frozen=True)
class Verdict:
    """A value with its standard uncertainty, the limit it was held against, and the word for it.

    ``inside_pct`` is the probability in per cent that the true value lies in the limits, for a
    normal distribution (JCGM 106:2012, 7.2); None when not judged.
    """

    value: float
    u: float | None
    limit: Limit | None
    word: Word
    inside_pct: float | None = None


def judge(value: float, u: float | None, limit: Limit | None, *, k: float = K) -> Verdict:
    """Hold a value with standard uncertainty ``u`` (same unit, ``>= 0``) against a limit.

    Raises GaugeInputError when the value or the uncertainty is not a finite number, or the
    uncertainty is negative. Source: JCGM 106:2012, sections 7.2 and 8.3.
    """
    value = number("value", value)
    if limit is None or limit.is_open or u is None:
        return Verdict(value, u, limit, "not_judged")
    u = number("u", u)
    if u < 0:
        raise GaugeInputError("negative", field="u", value=u)
    lower = -math.inf if limit.lower is None else limit.lower
    upper = math.inf if limit.upper is None else limit.upper
    inside_pct = _inside_pct(value, u, lower, upper)
    beyond = _both_tails(k, (upper - lower) / u if u > 0 else math.inf) * u
    word: Word = "doubtful"
    if lower + k * u <= value <= upper - k * u and _is_sure(inside_pct, k, lower, upper):
        word = "inside"
    elif value < lower - beyond or value > upper + beyond:
        word = "outside"
    return Verdict(value, u, limit, word, inside_pct)


def _is_sure(inside_pct: float, k: float, lower: float, upper: float) -> bool:
    """With two limits: what the tails beyond both leave between them. One limit is judged by k."""
    if math.isinf(lower) or math.isinf(upper):
        return True
    return inside_pct >= 100.0 * _normal(k) - _HAIR_PCT


def _both_tails(k: float, width: float) -> float:
    """Return the k that keeps the chance of one tail, for limits ``width`` standard u apart.

    A true value on one limit is called outside beyond either: ``Φ(−k′) + Φ(−k′ − width) = Φ(−k)``,
    found by halving above k.
    """
    wanted = _normal(-k)
    low, high = k, k + 1.0
    if _normal(-k - width) < 1e-12:
        return k
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        is_too_often = _normal(-middle) + _normal(-middle - width) > wanted
        low, high = (middle, high) if is_too_often else (low, middle)
    return high


def _inside_pct(value: float, u: float, lower: float, upper: float) -> float:
    if u == 0:
        return 100.0 if lower <= value <= upper else 0.0
    return 100.0 * (_normal((upper - value) / u) - _normal((lower - value) / u))


def _normal(z: float) -> float:
    """The standard normal distribution function."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
