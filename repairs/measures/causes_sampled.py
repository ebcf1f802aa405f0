"""The exact posterior of a case by another way: a long walk through the sets of causes.

Gibbs sampling with swaps of one cause for another, many chains at once; it prunes nothing and
knows no largest size. Source: Geman and Geman, IEEE Trans. PAMI 6 (1984); Metropolis et al. (1953).
"""

from __future__ import annotations

import numpy as np

from repairs.gauges.base.arrays import Floats
from repairs.gauges.causes.net import Net

CHAINS, SWEEPS, FIRST, SWAPS = 256, 240, 60, 12


def sampled(net: Net, rng: np.random.Generator) -> Floats:
    """States of the chains after the first sweeps, with at least one cause: (samples, C)."""
    count = len(net.keys)
    state = np.zeros((CHAINS, count))
    state[np.arange(CHAINS), rng.integers(count, size=CHAINS)] = 1.0
    kept = []
    for sweep in range(SWEEPS):
        for i in rng.permutation(count):
            off = state.copy()
            off[:, i] = 0.0
            up = _change(net, off, i)
            is_on = rng.random(CHAINS) < 1.0 / (1.0 + np.exp(-np.clip(up, -700, 700)))
            state[:, i] = is_on | ~off.any(axis=1)
        for _swap in range(SWAPS):
            _swapped(net, state, rng)
        if sweep >= FIRST:
            kept.append(state.copy())
    return np.concatenate(kept)


def _swapped(net: Net, state: Floats, rng: np.random.Generator) -> None:
    """In each chain one cause for another, where the weight allows it."""
    rows = np.arange(len(state))
    out = (rng.random(state.shape) * state).argmax(axis=1)
    into = (rng.random(state.shape) * (1.0 - state)).argmax(axis=1)
    other = state.copy()
    other[rows, out], other[rows, into] = 0.0, 1.0
    gain = _weight(net, other) - _weight(net, state)
    kept = np.log(rng.random(len(state))) < gain
    state[kept] = other[kept]


def _change(net: Net, off: Floats, i: int) -> Floats:
    """By how much the logarithm of the weight grows when cause i joins each set."""
    up = net.log_odds[i] + off @ (net.boost[:, i] + net.boost[i])
    heard = net.heard
    if (heard.silent[i] < 0).any():
        quiet = off @ heard.silent
        up = up + heard.log_p(quiet + heard.silent[i]) - heard.log_p(quiet)
    for f in np.flatnonzero(np.isfinite(net.ratio[i])).tolist():
        before = _best(net, off, f)
        after = np.maximum(before, net.ratio[i, f])
        up = up + after - np.where(np.isfinite(before), before, 0.0)
    changed: Floats = up
    return changed


def _weight(net: Net, state: Floats) -> Floats:
    weight = state @ net.log_odds + ((state @ net.boost) * state).sum(axis=1)
    weight = weight + net.heard.log_p(state @ net.heard.silent)
    for f in range(net.ratio.shape[1]):
        best = _best(net, state, f)
        weight = weight + np.where(np.isfinite(best), best, 0.0)
    whole: Floats = weight
    return whole


def _best(net: Net, state: Floats, f: int) -> Floats:
    bears = np.flatnonzero(np.isfinite(net.ratio[:, f]))
    there = np.where(state[:, bears] > 0, net.ratio[bears, f], -np.inf)
    best: Floats = there.max(axis=1, initial=-np.inf)
    return best
