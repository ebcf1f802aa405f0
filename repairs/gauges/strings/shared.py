"""What several strings of a set share: one rule for all lengths, one batch of gut for its density.

A rule that reads long reads long on every string, and a density out of a table is off alike for
every string of that material. Such errors add up over a set, where independent ones partly cancel.
Source: JCGM 100:2008, 5.2.2 (equation 16, with correlation coefficient 1).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from repairs.gauges.base.propagation import Values
from repairs.gauges.strings.spec import StringSpec

Parts = Mapping[str, float]


def shared_parts(spec: StringSpec, tension: Values, material: str) -> dict[str, float]:
    """Return the signed parts of a tension's uncertainty, in N, that other strings share.

    ``tension`` is the law's value under ``tension_n`` for the spec's values; a tension that was
    measured shares nothing. A length or density whose uncertainty was typed is that string's own.
    """
    if spec.computed != "tension_n":
        return {}
    sources = {"length_mm": "rule"}
    if material:
        sources["density_kg_m3"] = f"density of {material}"
    found = {}
    for name, source in sources.items():
        if f"u_{name}" in spec.assumed and name in spec.values:
            # T = μ(2Lf)²: twice the share of the length, once that of the density.
            power = 2.0 if name == "length_mm" else 1.0
            found[source] = power * tension["tension_n"] / spec.values[name] * spec.us[name]
    return found


def u_of_sum(parts: Iterable[tuple[float, Parts]]) -> float:
    """Return the standard uncertainty of a sum of terms, each with its u and its shared parts."""
    own, together = 0.0, dict[str, float]()
    for u, shared in parts:
        own += max(0.0, u**2 - sum(part**2 for part in shared.values()))
        for source, part in shared.items():
            together[source] = together.get(source, 0.0) + part
    return math.sqrt(own + sum(part**2 for part in together.values()))
