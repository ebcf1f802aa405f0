"""One bridge or one nut under two strings that ask different ways of it: one move and its skew."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.verdict import K

ENDS = ("move_bridge", "move_nut")


@dataclass(frozen=True)
class SharedEnd:
    """What two strings ask of one end, mm towards the bridge positive.

    ``amount`` is for the piece as a whole, by the doubt of each; ``skew_mm`` by how much more the
    first string asks than the second. ``is_skew``: more than their doubt explains; where it is
    not, moving the piece without turning it serves both.
    """

    code: str
    strings: tuple[str, str]
    amount: float
    u: float
    skew_mm: float
    u_skew_mm: float
    is_skew: bool


def shared_ends(first: Sequence[Mapping[str, Any]]) -> list[SharedEnd]:
    """Return the ends that two strings ask to move, the steps of each string given.

    The mean is weighed by 1/u² where it is one move, and is the middle where the piece goes askew.
    Source: JCGM 100:2008, 5.1.2; weighted mean.
    """
    found = []
    for code in ENDS:
        asked = [step for step in first if step["code"] == code]
        if len(asked) == 2:
            found.append(_shared(code, asked[0], asked[1]))
    return found


def _shared(code: str, one: Mapping[str, Any], other: Mapping[str, Any]) -> SharedEnd:
    a, b = float(one["amount"]), float(other["amount"])
    u_a, u_b = max(float(one["u"] or 0.0), 1e-9), max(float(other["u"] or 0.0), 1e-9)
    skew, u_skew = a - b, math.hypot(u_a, u_b)
    names = (str(one["string"]), str(other["string"]))
    if abs(skew) > K * u_skew:
        return SharedEnd(code, names, (a + b) / 2.0, u_skew / 2.0, skew, u_skew, True)
    weights = 1.0 / u_a**2, 1.0 / u_b**2
    mean = (a * weights[0] + b * weights[1]) / sum(weights)
    return SharedEnd(code, names, mean, 1.0 / math.sqrt(sum(weights)), skew, u_skew, False)
