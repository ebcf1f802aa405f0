"""Probability of each cause: all sets of up to four causes, the rest stated.

Causes that nothing heard or read bears on are summed out exactly. The others are taken in sets of
growing size; a set is not enlarged when all its enlargements together weigh nothing, by a bound
that holds (adding a cause can gain no more than it would gain alone, and what is heard can be no
more than explained). Source: exhaustive enumeration of a noisy-OR; the bound follows from its
submodularity in what is heard.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from repairs.gauges.base.arrays import Floats, Ints, np
from repairs.gauges.causes.net import Net

MOST = 4  # causes at once
FURTHER = 3  # more than MOST, where many symptoms ask for it: the heaviest sets only
PRUNED = 1e-3  # share of the mass that pruning may leave out, at each size
NEGLIGIBLE = 1e-2  # the same beyond MOST
MANY_HEARD = 12  # symptoms: beyond them larger sets cost a second and tell nothing new
MOST_SETS = 8_000  # that are enlarged at once: bounds memory
KEPT = 1500  # heaviest sets that are kept for the next look


@dataclass(frozen=True)
class Posterior:
    """Probability of each cause (C), the mass left out, and the heaviest sets with their share.

    ``sets`` holds indices of causes, −1 where a set has fewer; ``shares`` add up to one at most.
    """

    p: Floats
    left_out: float
    sets: Ints
    shares: Floats


@dataclass(frozen=True)
class _Level:
    """Sets of one size: members, sum of odds, log silence of each symptom, best of each figure."""

    members: Ints
    odds: Floats
    quiet: Floats
    best: Floats


@dataclass(frozen=True)
class _Later:
    """What the causes from each place on can gain: by what is heard too, or where that is all
    explained."""

    hearing: Floats
    explained: Floats


def posterior(net: Net, *, complaint: bool, most: int = MOST, spare: float = PRUNED) -> Posterior:
    """Return the probability of each cause of the net.

    ``complaint``: somebody complained, so that at least one cause is there (that is what the
    priors are shares of). ``spare``: the share of the mass that may be left out at each size up
    to ``most``; 0 leaves no set out.
    """
    active = np.array(net.active, dtype=np.int64)
    inert = np.setdiff1d(np.arange(len(net.keys)), active)
    summed = _with_children(net, inert)
    active = active[np.argsort(-_most_gain(summed, active))]
    levels, pruned = _levels(summed, active, most, spare)
    logs = [_weights(summed, level) for level in levels]
    top = max(float(w.max()) for w in logs if w.size)
    weights = [np.exp(w - top) for w in logs]
    total = sum(float(w.sum()) for w in weights)
    p = np.zeros(len(net.keys))
    for level, weight in zip(levels, weights, strict=True):
        for place in range(level.members.shape[1]):
            p += np.bincount(active[level.members[:, place]], weight, len(p)) / total
    p[inert] = _p_inert(net, inert, p)
    if complaint:
        none = float(weights[0][0]) / total / math.exp(np.log1p(np.exp(net.log_odds[inert])).sum())
        p = np.minimum(p / (1.0 - none), 1.0) if none < 1.0 else p
    out = _beyond([float(w.sum()) for w in weights], len(levels) - 1, len(active)) + pruned
    sets, shares = _heaviest(levels, weights, active)
    return Posterior(p, min(out, 1.0), sets, shares / total)


def _beyond(masses: list[float], most: int, count: int) -> float:
    """Share of larger sets: masses of growing size fall ever faster (Newton’s inequality)."""
    if count <= most or masses[-2] <= 0:
        return 0.0
    fall = min(masses[-1] / masses[-2], 0.9)
    return masses[-1] / sum(masses) * fall / (1.0 - fall)


def _heaviest(levels: list[_Level], weights: list[Floats], active: Ints) -> tuple[Ints, Floats]:
    size = len(levels) - 1
    padded = [
        np.pad(active[level.members], ((0, 0), (0, size - level.members.shape[1])), "constant",
               constant_values=-1)
        for level in levels
    ]  # fmt: skip
    sets, shares = np.concatenate(padded), np.concatenate(weights)
    best = np.argsort(-shares)[:KEPT]
    return sets[best], shares[best]


def _most_gain(net: Net, active: Ints, *, hears: bool = True) -> Floats:
    """Logarithm of the most by which each cause can multiply the weight of any set; without
    ``hears``, that of a set which explains all that is heard."""
    heard = net.heard.most[active].sum(axis=1) if hears else 0.0
    read = np.maximum(net.ratio[active], 0.0).sum(axis=1)
    parents = np.maximum(net.boost, 0.0).sum(axis=0)[active]
    children = np.maximum(net.boost[active], 0.0).sum(axis=1)
    gain: Floats = net.log_odds[active] + heard + read + parents + children
    return gain


def _levels(net: Net, active: Ints, most: int, spare: float) -> tuple[list[_Level], float]:
    """All sets up to ``most`` causes, then larger ones while they still weigh something."""
    later = _Later(_from_here(net, active, hears=True), _from_here(net, active, hears=False))
    level = _Level(
        np.zeros((1, 0), dtype=np.int64),
        np.zeros(1),
        net.heard.nothing[None, :],
        np.full((1, net.ratio.shape[1]), -np.inf),
    )
    levels, pruned, masses = [level], 0.0, [_mass(net, level)]
    further = FURTHER if len(net.heard.symptoms) <= MANY_HEARD else 0
    for size in range(1, min(most + further, len(active)) + 1):
        if size > most and _beyond(masses, size - 1, len(active)) < NEGLIGIBLE:
            break
        if size > 2:
            share = spare if size <= most else NEGLIGIBLE
            level, lost = _pruned(net, level, later, share * sum(masses), most - size + 1)
            pruned += lost
        level = _enlarged(net, level, active)
        levels.append(level)
        masses.append(_mass(net, level))
    return levels, pruned / sum(masses)


def _from_here(net: Net, active: Ints, *, hears: bool) -> Floats:
    """What the causes from each place on can gain together."""
    gains = np.exp(np.minimum(_most_gain(net, active, hears=hears), 600.0))
    return np.append(np.cumsum(gains[::-1])[::-1], 0.0)


def _mass(net: Net, level: _Level) -> float:
    return float(np.exp(np.minimum(_weights(net, level), 600.0)).sum())


def _pruned(
    net: Net, level: _Level, later: _Later, least: float, more: int
) -> tuple[_Level, float]:
    """The sets worth enlarging, and a bound of what the others could still weigh: either way of
    counting holds, so the smaller does."""
    last = level.members[:, -1] + 1
    heard = net.heard.log_p(level.quiet)
    base = _weights(net, level, at_best=True) - heard
    bounds = [
        np.exp(np.minimum(base + ear, 600.0)) * (reach if more <= 1 else reach + reach**2 / 2)
        for ear, reach in (
            (heard, later.hearing[last]),
            (net.heard.best.sum(), later.explained[last]),
        )
    ]
    bound = np.minimum(*bounds)
    order = np.argsort(bound)
    lost = np.cumsum(bound[order])
    out = max(int(np.searchsorted(lost, least)), len(order) - MOST_SETS) if least > 0 else 0
    kept = np.sort(order[out:])
    left = float(lost[out - 1]) if out else 0.0
    return _taken(level, kept), left


def _taken(level: _Level, rows: Ints) -> _Level:
    return _Level(level.members[rows], level.odds[rows], level.quiet[rows], level.best[rows])


def _enlarged(net: Net, level: _Level, active: Ints) -> _Level:
    """Every set with every later cause added; members are places in ``active``."""
    count, size = level.members.shape
    first = level.members[:, -1] + 1 if size else np.zeros(count, dtype=np.int64)
    ways = len(active) - first
    row = np.repeat(np.arange(count), ways)
    begin = np.repeat(np.cumsum(ways) - ways, ways)
    new = np.arange(len(row)) - begin + first[row]
    cause = active[new]
    odds = level.odds[row] + net.log_odds[cause]
    for place in range(size):
        other = active[level.members[row, place]]
        odds += net.boost[other, cause] + net.boost[cause, other]
    return _Level(
        np.column_stack([level.members[row], new]),
        odds,
        level.quiet[row] + net.heard.silent[cause],
        np.maximum(level.best[row], net.ratio[cause]),
    )


def _weights(net: Net, level: _Level, *, at_best: bool = False) -> Floats:
    """Logarithm of the weight of each set. ``at_best``: with each figure at least as likely as
    where all is well, for a further cause may explain it better than those that are there."""
    heard = net.heard.log_p(level.quiet)
    best = np.where(np.isfinite(level.best), level.best, 0.0)
    read = (np.maximum(best, 0.0) if at_best else best).sum(axis=1)
    weights: Floats = level.odds + heard + read
    return weights


def _p_inert(net: Net, inert: Ints, p: Floats) -> Floats:
    """P of causes that nothing bears on, given how sure each of their parents is."""
    odds = net.log_odds[inert]
    plain = _logistic(odds)
    found = plain.copy()
    for parent in np.flatnonzero((net.boost != 0).any(axis=1)):
        found += p[parent] * (_logistic(odds + net.boost[parent, inert]) - plain)
    return found


def _logistic(x: Floats) -> Floats:
    y: Floats = 1.0 / (1.0 + np.exp(-x))
    return y


def _with_children(net: Net, inert: Ints) -> Net:
    """The net with those children summed out of their parents that nothing else bears on."""
    odds = net.log_odds[inert]
    more = np.log1p(np.exp(odds + net.boost[:, inert])) - np.log1p(np.exp(odds))
    return replace(net, log_odds=net.log_odds + more.sum(axis=1))
