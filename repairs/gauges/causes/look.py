"""What to look at next: expected fall of entropy over the causes, a minute at the bench.

The check of one cause says yes or no (how surely stands in the fixture), and its information is
exact. A sheet of readings is foreseen whole, all its figures together (sheet.py). Source: Lindley,
Ann. Math. Stat. 27 (1956): the information of an experiment.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.causes.net import Net
from repairs.gauges.causes.posterior import Posterior
from repairs.gauges.causes.sheet import foresee, moved
from repairs.gauges.causes.table import Cause, Table

LIKELY = 0.02  # a cause less likely than this is not looked for by itself
TELLS = 1e-3  # bits below which nothing is told
SHOWN = 5


@dataclass(frozen=True)
class Look:
    """A check or a sheet: what it costs, what it tells, and which cause it would move most."""

    kind: Literal["check", "reading"]
    key: str
    minutes: float
    bits: float
    cause: str
    now: float
    if_so: float
    if_not: float

    @property
    def worth(self) -> float:
        """Bits a minute."""
        return self.bits / self.minutes


def best_looks(
    table: Table,
    net: Net,
    found: Posterior,
    *,
    taken: Collection[str],
    sheets: bool = True,
    most: int = SHOWN,
) -> tuple[Look, ...]:
    """The looks that are worth most a minute; what was just ``taken``, a sheet or the check of a
    cause, is not offered again. ``sheets``: whether sheets are asked for at all."""
    p = dict(zip(net.keys, (float(one) for one in found.p), strict=True))
    asked = {net.keys[i] for i in net.active} or set(net.keys)
    looks = [
        check_look(table, cause, p[cause.key])
        for cause in table.causes
        if p[cause.key] >= LIKELY and cause.key in asked
        if not cause.check_by and cause.key not in taken
    ]
    gauges = [gauge for gauge in table.looks if gauge not in taken] if sheets else []
    looks += [sheet_look(table, net, found, gauge) for gauge in gauges]
    told = [one for one in looks if one.bits > TELLS]
    return tuple(sorted(told, key=lambda one: -one.worth)[:most])


def check_look(table: Table, cause: Cause, p: float) -> Look:
    """The check of one cause: what yes and no would make of it."""
    hit, miss = table.sensitivity, 1.0 - table.specificity
    yes = p * hit + (1.0 - p) * miss
    told = _entropy(yes) - p * _entropy(hit) - (1.0 - p) * _entropy(miss)
    if_so, if_not = p * hit / yes, p * (1.0 - hit) / (1.0 - yes)
    return Look("check", cause.key, cause.minutes, told, cause.key, p, if_so, if_not)


def _entropy(p: float) -> float:
    return -sum(q * math.log2(q) for q in (p, 1.0 - p) if q > 0)


def sheet_look(table: Table, net: Net, found: Posterior, gauge: str) -> Look:
    """All that a sheet would tell, and the cause that it would move most."""
    seen = foresee(table.drawn, net, found, gauge)
    most = moved(net, seen) if seen.bits > TELLS else None
    if most is None:
        return Look("reading", gauge, table.looks[gauge], 0.0, "", 0.0, 0.0, 0.0)
    return Look("reading", gauge, table.looks[gauge], seen.bits, *most)
