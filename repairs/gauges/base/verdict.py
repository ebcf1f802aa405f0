"""Is a measured value inside its limits, given how sure it is?

Guard bands after JCGM 106:2012, section 8: with a standard uncertainty u and a coverage factor k,
a value is *inside* when it lies in the limits narrowed by k·u on each side, *outside* when it lies
beyond the limits widened by k·u, and *doubtful* in between. Without a limit, or without a known
uncertainty, it is *not judged*. k = 1.645 keeps the chance of a wrong “inside” or “outside” below
5 % for a normal distribution (one-sided 95 % quantile, same source, annex A).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.checks import number
from repairs.gauges.base.errors import GaugeInputError

VERSION = "verdict 1"
K = 1.645

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
    margin = k * u
    word: Word = "doubtful"
    if lower + margin <= value <= upper - margin:
        word = "inside"
    elif value < lower - margin or value > upper + margin:
        word = "outside"
    return Verdict(value, u, limit, word, _inside_pct(value, u, lower, upper))


def _inside_pct(value: float, u: float, lower: float, upper: float) -> float:
    if u == 0:
        return 100.0 if lower <= value <= upper else 0.0
    return 100.0 * (_normal((upper - value) / u) - _normal((lower - value) / u))


def _normal(z: float) -> float:
    """The standard normal distribution function."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
