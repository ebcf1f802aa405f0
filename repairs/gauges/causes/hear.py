"""What an ear tells next: a symptom that nobody asked about yet, and what stays of those heard when
a cause is put out of the way for a moment (the fitting held, the cover off, two turns of rosin).

Each answer has a probability under every likely set of causes, so its information is exact over
those sets. Source: Lindley, Ann. Math. Stat. 27 (1956).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from repairs.gauges.base.arrays import Floats, Ints, np
from repairs.gauges.causes.again import MISHEARD
from repairs.gauges.causes.net import Net
from repairs.gauges.causes.posterior import Posterior

SETS = 250  # likeliest sets that an answer is foreseen for
MOST_TOGETHER = 3  # symptoms that are listened to when one cause is put out of the way


@dataclass(frozen=True)
class Likely:
    """The likeliest sets: which causes each holds (S, C), the share of each (S), and how silent
    each leaves each symptom not asked about (S, U) and each one heard (S, H). ``beside``: causes
    that nothing bears on yet, each there by itself or not, with P (I)."""

    there: Floats
    shares: Floats
    unasked: Floats
    heard: Floats
    beside: Ints
    p_beside: Floats


@dataclass(frozen=True)
class Told:
    """What an answer tells: bits, and the cause that it moves most, now and after either answer."""

    bits: float
    cause: str
    now: float
    if_so: float
    if_not: float


NOTHING = Told(0.0, "", 0.0, 0.0, 0.0)


def likely(net: Net, found: Posterior) -> Likely:
    """The likeliest sets of the posterior, ready to be asked."""
    some = (found.sets >= 0).any(axis=1)  # who hears something complains: some cause is there
    sets, shares = found.sets[some][:SETS], found.shares[some][:SETS]
    there = np.zeros((len(sets), len(net.keys) + 1))
    np.put_along_axis(there, sets, 1.0, axis=1)  # −1, no cause, falls into the last column
    there = there[:, :-1]
    beside = np.setdiff1d(np.arange(len(net.keys)), net.active)
    unasked = net.heard.log_open + there @ net.unasked_silent
    heard = there @ net.heard.silent
    return Likely(there, shares / shares.sum(), unasked, heard, beside, found.p[beside])


def asked(net: Net, sets: Likely) -> Iterator[tuple[str, Told]]:
    """Each symptom nobody asked about, and what asking for it would tell."""
    for column, symptom in enumerate(net.unasked):
        made = -np.expm1(net.unasked_silent[sets.beside, column])
        makes = np.flatnonzero(made > 0)
        yield symptom, _asked(net, sets, np.exp(sets.unasked[:, column]), made, makes)


def _asked(net: Net, sets: Likely, quiet: Floats, made: Floats, makes: Ints) -> Told:
    """A symptom that each set leaves silent by ``quiet`` (S), and that causes beside may make: one
    of them at most, for two that nobody heard of are hardly there together."""
    odds = sets.p_beside[makes] / (1.0 - sets.p_beside[makes])
    one_of = np.append(odds, 1.0) / (1.0 + odds.sum())  # the last: none of them
    silent = quiet[:, None] * np.append(1.0 - made[makes], 1.0)  # (S, one of)
    weight = sets.shares[:, None] * one_of
    plain = told(net, sets, np.array([1.0 - silent @ one_of, silent @ one_of]))
    heard = float((weight * (1.0 - silent)).sum())
    bits = _entropy(heard) - float((weight * _entropy(silent)).sum())
    now = one_of[:-1]
    if_so = (weight * (1.0 - silent)).sum(axis=0)[:-1] / heard
    if_not = (weight * silent).sum(axis=0)[:-1] / (1.0 - heard)
    # Which cause it moves most: one beside, by either answer, or one of the sets.
    moves = _moves(heard, now, if_so, if_not)
    of_sets = _moves(heard, plain.now, plain.if_so, plain.if_not)
    i = int(np.argmax(moves)) if len(moves) else -1
    if i < 0 or moves[i] <= of_sets:
        return replace(plain, bits=bits) if plain.cause else NOTHING
    key = net.keys[sets.beside[makes[i]]]
    return Told(bits, key, float(now[i]), float(if_so[i]), float(if_not[i]))


def _moves(yes: float, now: Any, if_so: Any, if_not: Any) -> Any:
    return yes * (if_so - now) ** 2 + (1.0 - yes) * (if_not - now) ** 2


def _entropy(p: Any) -> Any:
    q = np.clip(p, 1e-12, 1.0 - 1e-12)
    return -(q * np.log2(q) + (1.0 - q) * np.log2(1.0 - q))


def put_away(net: Net, sets: Likely, cause: str) -> tuple[tuple[str, ...], Told]:
    """What is listened to when a cause is put out of the way, and what that would tell."""
    i, heard = net.keys.index(cause), net.heard
    own = heard.silent[i, : len(heard.symptoms)]
    columns = [int(h) for h in np.argsort(own) if own[h] < 0][:MOST_TOGETHER]
    if not columns:
        return (), NOTHING
    quiet = np.exp(heard.log_open + sets.heard[:, columns])
    alone = quiet * np.expm1(-sets.there[:, [i]] * own[columns])  # it is silent without that cause
    stays = 1.0 - alone * heard.stay[columns] / heard.p(sets.heard)[:, columns]
    stays = MISHEARD + (1.0 - 2.0 * MISHEARD) * np.clip(stays, 0.0, 1.0)  # (S, symptoms)
    answers = [
        np.where(np.array(one), stays, 1.0 - stays).prod(axis=1)
        for one in itertools.product((True, False), repeat=len(columns))
    ]
    return tuple(heard.symptoms[h] for h in columns), told(net, sets, np.array(answers))


def told(net: Net, sets: Likely, answers: Floats) -> Told:
    """What answers tell whose P under each set is given (answers, S)."""
    each = answers @ sets.shares
    ratio = np.where(answers > 0, answers / np.maximum(each, 1e-300)[:, None], 1.0)
    bits = float((answers * np.log2(ratio) @ sets.shares).sum())
    now = sets.shares @ sets.there
    after = (answers * sets.shares) @ sets.there / np.maximum(each, 1e-300)[:, None]
    i = int(np.argmax(each @ (after - now) ** 2))
    up = after[:, i] > now[i]
    if not up.any() or up.all() or each[up].sum() <= 0 or each[~up].sum() <= 0:
        return NOTHING
    if_so, if_not = (float(np.average(after[w, i], weights=each[w])) for w in (up, ~up))
    return Told(max(bits, 0.0), net.keys[i], float(now[i]), if_so, if_not)
