"""What to look at next: expected fall of entropy over the causes, a minute at the bench.

The check of one cause says yes or no (how surely stands in the fixture), and its information is
exact. A sheet of readings is foreseen figure by figure for the likeliest sets of causes; one
figure tells all sets apart that it is spread differently for. Source: Lindley, Ann. Math. Stat.
27 (1956): the information of an experiment.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from repairs.gauges.base.checks import Floats
from repairs.gauges.causes.density import density, draw
from repairs.gauges.causes.net import Net
from repairs.gauges.causes.posterior import Ints, Posterior
from repairs.gauges.causes.table import Cause, Table

LIKELY = 0.02  # a cause less likely than this is not looked for by itself
SETS = 250  # likeliest sets that a reading is foreseen for
STEPS = 24  # values of a figure that are foreseen for each spread
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
    table: Table, net: Net, found: Posterior, *, taken: Collection[str]
) -> tuple[Look, ...]:
    """The looks that are worth most a minute; a sheet that was just taken is not offered again."""
    p = dict(zip(net.keys, (float(one) for one in found.p), strict=True))
    asked = {net.keys[i] for i in net.active} or set(net.keys)
    looks = [
        check_look(table, cause, p[cause.key])
        for cause in table.causes
        if p[cause.key] >= LIKELY and not cause.check_by and cause.key in asked
    ]
    looks += [sheet_look(table, net, found, gauge) for gauge in table.looks if gauge not in taken]
    told = [one for one in looks if one.bits > 1e-3]
    return tuple(sorted(told, key=lambda one: -one.worth)[:SHOWN])


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
    """The most telling figure of a sheet, and the cause that it would move most."""
    sets, shares = found.sets[:SETS], found.shares[:SETS] / found.shares[:SETS].sum()
    nothing = Look("reading", gauge, table.looks[gauge], 0.0, "", 0.0, 0.0, 0.0)
    told = [
        _told(net, sets, shares, foreseen(table, key))
        for key, figure in table.figures.items()
        if figure.gauge == gauge
    ]
    bits, joint = max(told, key=lambda one: one[0], default=(0.0, np.zeros((0, 0))))
    return _moved(net, nothing, sets, joint, bits) if bits > 0 else nothing


@dataclass(frozen=True)
class Foreseen:
    """A figure before it is read: causes that bear on it, and the density of each spread (the
    healthy one first) at values drawn of all of them; each value with its weight."""

    causes: tuple[str, ...]
    dense: Floats
    weight: Floats


@lru_cache(maxsize=256)
def foreseen(table: Table, key: str) -> Foreseen:
    """What may be read of a figure: the same for every case of a table."""
    figure = table.figures[key]
    bears = {one.key: one.readings[key] for one in table.causes if key in one.readings}
    specs = [figure.healthy, *bears.values()]
    drawn = [draw(spec, (k + 0.5) / STEPS) for spec in specs for k in range(STEPS)]
    dense = np.array([[density(spec, v, 0.0, figure.span) for v in drawn] for spec in specs])
    # Values were drawn evenly from each spread: each stands for the inverse of their mean density.
    return Foreseen(tuple(bears), dense, 1.0 / dense.mean(axis=0) / dense.shape[1])


def _told(net: Net, sets: Ints, shares: Floats, read: Foreseen) -> tuple[float, Floats]:
    """Bits of one figure, and the joint share of sets and values."""
    at = [net.keys.index(key) for key in read.causes]
    which = np.array([(sets == i).any(axis=1) for i in at]).reshape(len(at), len(sets))
    if not which.any():
        return 0.0, np.zeros((0, 0))
    of_sets = np.tile(read.dense[0], (len(sets), 1))
    held = which.any(axis=0)
    of_causes = np.where(which[:, held, None], read.dense[1:, None, :], 0.0)
    of_sets[held] = of_causes.max(axis=0)
    joint = shares[:, None] * of_sets * read.weight
    joint /= joint.sum()
    own = joint.sum(axis=1, keepdims=True)
    ratio = np.maximum(joint, 1e-300) / np.maximum(own * joint.sum(axis=0), 1e-300)
    return max(float((joint * np.log2(ratio)).sum()), 0.0), joint


def _moved(net: Net, look: Look, sets: Ints, joint: Floats, bits: float) -> Look:
    """The cause whose probability the figure moves most, and to where, up and down."""
    own, seen = joint.sum(axis=1), joint.sum(axis=0)
    best, most = look, -1.0
    for i in {int(one) for one in sets.ravel() if one >= 0}:
        holds = (sets == i).any(axis=1)
        now = float(own[holds].sum())
        after = joint[holds].sum(axis=0) / np.maximum(seen, 1e-300)
        up = after > now
        yes = float(seen[up].sum())
        if not 1e-6 < yes < 1.0 - 1e-6:
            continue
        if_so = float((after * seen)[up].sum()) / yes
        if_not = float((after * seen)[~up].sum()) / (1.0 - yes)
        gain = yes * (if_so - now) ** 2 + (1.0 - yes) * (if_not - now) ** 2
        if gain > most:
            best = replace(look, bits=bits, cause=net.keys[i], now=now, if_so=if_so, if_not=if_not)
            most = gain
    return best
