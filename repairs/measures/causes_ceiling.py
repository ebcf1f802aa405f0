"""How often anybody could be right who knows no more than the posterior: by its own probabilities.

Where only cases count each of whose causes makes something that can be noticed, each set weighs as
much as it is noticed in whole, given what was heard.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from repairs.gauges.base.arrays import Floats, Ints
from repairs.gauges.causes.net import Net
from repairs.gauges.causes.posterior import Posterior


class Ceiling(NamedTuple):
    """P that the first is true, that one of the first three is; and, of all pairs of causes, the
    share of those that lie within the three."""

    first: float
    one: float
    both: float


def ceiling(net: Net, found: Posterior, *, noticed: bool) -> Ceiling:
    """The ceilings of one case."""
    order = np.argsort(-found.p)[:3]
    others = np.setdiff1d(np.arange(len(net.keys)), net.active)
    odds = np.exp(net.log_odds)
    shares = found.shares
    if noticed:
        shares = shares * _noticed(net, found)
        odds = odds * -np.expm1(net.unasked_silent.sum(axis=1))
    shares = shares / shares.sum()
    size = (found.sets >= 0).sum(axis=1)
    # What nothing points to is there or not by itself; and somebody complained of something.
    spared = 1.0 / (1.0 + odds)
    nothing = float(shares[size == 0].sum() * spared[others].prod())
    first, one = (1.0 - _missed(found, shares, order[:most], spared, others) for most in (1, 3))
    beside = float(odds[others].sum())  # a second one that nothing points to
    pairs = float(shares[size == 2].sum() + beside * shares[size == 1].sum())
    within = np.isin(found.sets, order).sum(axis=1)
    both = float(shares[(size == 2) & (within == 2)].sum())
    there = 1.0 - nothing
    return Ceiling(first / there, one / there, both / pairs if pairs > 0 else 0.0)


def _missed(found: Posterior, shares: Floats, kept: Ints, spared: Floats, others: Ints) -> float:
    """P that none of those is there."""
    within = np.isin(found.sets, kept).any(axis=1)
    return float(shares[~within].sum() * spared[np.intersect1d(kept, others)].prod())


def _noticed(net: Net, found: Posterior) -> Floats:
    """P that each cause of each set makes something, given what was heard: each by itself."""
    heard, there = net.heard, (found.sets >= 0)[:, :, None]
    silent = np.where(there, heard.silent[found.sets], 0.0)  # (S, causes of it, columns)
    quiet = silent.sum(axis=1)
    count = len(heard.symptoms)
    unasked = net.unasked_silent.sum(axis=1)
    p = np.ones(len(found.sets))
    for place in range(found.sets.shape[1]):
        own = silent[:, place, :count].sum(axis=1) + unasked[found.sets[:, place]]
        without = heard.log_p(quiet - silent[:, place]) - heard.log_p(quiet)
        makes = -np.expm1(np.minimum(own + without, 0.0))
        p *= np.where(there[:, place, 0], np.maximum(makes, 0.0), 1.0)
    return p
