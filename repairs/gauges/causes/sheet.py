"""A sheet of readings before it is taken: what all its figures together would tell of the causes.

The likeliest sets of causes are drawn by their share, and for each the values that the sheet would
then show; the information is the mean of the logarithm of P(values | set) over P(values). Sets
that bear alike on the sheet are one. Source: Lindley (1956), by simulation; the same numbers are
drawn for every case, so that the same case is told the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from repairs.gauges.base.arrays import Floats, Ints, NDArray, np
from repairs.gauges.causes.density import density, draw
from repairs.gauges.causes.net import Net
from repairs.gauges.causes.posterior import Posterior
from repairs.gauges.causes.table import Table

SETS = 250  # likeliest sets that a reading is foreseen for
STEPS = 24  # values of a figure that are foreseen for each spread
DRAWN = 300  # sheets that are drawn
SEED = 1956


@dataclass(frozen=True)
class Foreseen:
    """A figure before it is read: causes that bear on it, and the density of each spread (the
    healthy one first) at values drawn of all of them; each value with its weight."""

    causes: tuple[str, ...]
    dense: Floats
    weight: Floats


@dataclass(frozen=True)
class Sheet:
    """A sheet before it is taken: its information, the likeliest sets with their shares, and the
    share of each set after each of the sheets that were drawn (D, S)."""

    bits: float
    sets: Ints
    shares: Floats
    after: Floats


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


def foresee(table: Table, net: Net, found: Posterior, gauge: str, at_least: float = 0.0) -> Sheet:
    """What the sheet of a gauge would tell, all its figures together; nothing, where it cannot tell
    ``at_least`` so many bits (no sheet tells more than what it bears on is in doubt)."""
    sets, shares = found.sets[:SETS], found.shares[:SETS] / found.shares[:SETS].sum()
    figures = [foreseen(table, key) for key, one in table.figures.items() if one.gauge == gauge]
    place = {key: i for i, key in enumerate(net.keys)}
    bears = sorted({place[key] for one in figures for key in one.causes})
    there = np.array([(sets == i).any(axis=1) for i in bears]).reshape(len(bears), len(sets))
    alike, group = _alike(there)
    own = np.bincount(group, shares, alike.shape[1]).astype(np.float64)
    if len(own) == 1 or -float((own * np.log2(np.maximum(own, 1e-300))).sum()) < at_least:
        return Sheet(0.0, sets, shares, np.zeros((0, len(sets))))
    likely = _log_likely(figures, [net.keys[i] for i in bears], alike, own)
    after = own * np.exp(likely[0] - likely[0].max(axis=1, keepdims=True))
    told = likely[0][np.arange(DRAWN), likely[1]] - likely[0].max(axis=1)
    bits = float((told - np.log(after.sum(axis=1))).mean()) / math.log(2.0)
    after /= after.sum(axis=1, keepdims=True)
    return Sheet(max(bits, 0.0), sets, shares, after[:, group] * (shares / own[group]))


def _alike(there: NDArray[Any]) -> tuple[NDArray[Any], Ints]:
    """The columns that differ, and which of them each column is (by their bits: far quicker than
    column by column)."""
    bits = there.T @ (2.0 ** np.arange(len(there))[::-1])
    _code, first, which = np.unique(bits, return_index=True, return_inverse=True)
    return there[:, first], np.asarray(which).reshape(-1)


def _log_likely(
    figures: list[Foreseen], keys: list[str], alike: NDArray[Any], own: Floats
) -> tuple[Floats, Ints]:
    """Logarithm of P(sheet | group) for each sheet drawn (D, G), and the group of each."""
    rng = np.random.default_rng(SEED)
    of = np.searchsorted(np.cumsum(own), (np.arange(DRAWN) + 0.5) / DRAWN)
    of = np.minimum(of, len(own) - 1)
    likely = np.zeros((DRAWN, len(own)))
    for one in figures:
        here = np.array([alike[keys.index(key)] for key in one.causes], dtype=bool)
        held, which = _alike(here)
        dense = np.where(held[:, :, None], one.dense[1:, None, :], 0.0).max(axis=0)
        some = np.asarray(held.any(axis=0)).reshape(-1, 1)
        dense = np.where(some, dense, one.dense[0])  # (those that differ, values)
        spread = dense * one.weight
        dense = dense / spread.sum(axis=1, keepdims=True)  # the largest of several adds up to more
        below = np.cumsum(spread / spread.sum(axis=1, keepdims=True), axis=1)
        value = (below[which[of]] < rng.random(DRAWN)[:, None]).sum(axis=1)
        likely += np.log(dense[:, np.minimum(value, dense.shape[1] - 1)])[which].T
    return likely, of


def moved(net: Net, seen: Sheet) -> tuple[str, float, float, float] | None:
    """The cause that the sheet moves most: its key, what it is now, and the mean of what it would
    be where the sheet raises it, and where not."""
    members = {int(one) for one in seen.sets.ravel() if one >= 0}
    best, most = None, 0.0
    for i in sorted(members):
        holds = (seen.sets == i).any(axis=1)
        now = float(seen.shares[holds].sum())
        after = seen.after[:, holds].sum(axis=1)
        up = after > now
        if not up.any() or up.all():
            continue
        gain = float(((after - now) ** 2).mean())
        if gain > most:
            if_so, if_not = float(after[up].mean()), float(after[~up].mean())
            best, most = (net.keys[i], now, if_so, if_not), gain
    return best
