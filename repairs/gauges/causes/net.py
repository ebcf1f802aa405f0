"""One case as numbers: the weight of each cause, what is heard, and what was read.

A noisy-OR with leak: P(symptom silent | causes S) = (1 − leak)·∏(1 − p). A figure has its healthy
density when no cause that bears on it is in S, else the largest of theirs. Findings and history
multiply the odds of a cause. Source: Pearl, *Probabilistic Reasoning in Intelligent Systems*,
4.3.2 (noisy-OR); the figures are common practice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.causes.again import Heard, Undone, heard_again
from repairs.gauges.causes.density import density
from repairs.gauges.causes.table import Cause, Figure, Odds, Table

NOT_BEARING = -math.inf
SURE_P = 0.999  # a symptom that is all but certain still leaves a way for it to be missed
TABLES_KEPT = 16
DAYS = {"hours": 1 / 24, "days": 1.0, "weeks": 7.0, "months": 30.44, "years": 365.25}


@dataclass(frozen=True)
class Value:
    """A figure as read: its value (or word) and standard uncertainty, of which subject."""

    figure: str
    value: float | str
    u: float = 0.0
    subject: str = ""


@dataclass(frozen=True)
class Past:
    """A word of the history, and how many days ago; None when nobody knows."""

    what: str
    days: float | None = None


@dataclass(frozen=True)
class Case:
    """What is known of a case. ``findings`` holds “term” and “term@part”.

    ``looked``: checks of causes that were made, and whether each found it. ``undone``: causes that
    were put out of the way for a moment, one at a time, and of each symptom heard whether it stays.
    """

    heard: frozenset[str] = frozenset()
    denied: frozenset[str] = frozenset()
    values: tuple[Value, ...] = ()
    findings: frozenset[str] = frozenset()
    past: tuple[Past, ...] = ()
    facts: Mapping[str, float] | None = None  # “swing”, “top_force”: P of a symptom by its value
    looked: Mapping[str, bool] = field(default_factory=dict)
    undone: Undone = field(default_factory=dict)


@dataclass(frozen=True)
class Net:
    """The case as arrays: C causes, F figures read, U symptoms that nobody asked about.

    ``log_odds`` (C) holds prior, findings, history, checks and what was denied; ``ratio`` (C, F)
    the logarithm of the density against the healthy one, −inf where the cause does not bear on the
    figure; ``boost`` (C, C) the logarithm by which the row multiplies the odds of the column;
    ``unasked_silent`` (C, U) the logarithm of 1 − p. ``undone``: causes that were put away.
    """

    keys: tuple[str, ...]
    heard: Heard
    figures: tuple[str, ...]
    log_odds: Floats
    ratio: Floats
    boost: Floats
    healthy: Floats
    unasked: tuple[str, ...]
    unasked_silent: Floats
    undone: frozenset[str]

    @property
    def active(self) -> list[int]:
        """Causes that something heard or read bears on; the others stand as the table has them."""
        touched = (self.heard.silent < 0).any(axis=1) | np.isfinite(self.ratio).any(axis=1)
        touched |= (self.boost != 0).any(axis=1)  # parents, whose children may be touched
        return [int(i) for i in np.flatnonzero(touched)]


def build(table: Table, case: Case) -> Net:
    """Return the case in numbers."""
    causes, keys = table.causes, tuple(one.key for one in table.causes)
    heard = [s for s in table.symptoms if s in case.heard]
    unasked = tuple(s for s in table.symptoms if s not in case.heard | case.denied)
    denied = [s for s in table.symptoms if s in case.denied - case.heard]
    by_figure = _by_figure(table, case.values)
    log_odds = np.array([_odds(one, case) + _looked(table, one, case) for one in causes])
    boost = _boost(table)
    log_odds -= _even_out(boost, np.array([one.prior for one in causes]))
    log_odds += _silent(table, case, denied).sum(axis=1)
    ratio = np.array([[bearing(one, rows) for rows in by_figure.values()] for one in causes])
    return Net(
        keys=keys,
        heard=heard_again(keys, heard, _silent(table, case, heard), table.leak, case.undone),
        figures=tuple(by_figure),
        log_odds=log_odds,
        ratio=ratio.reshape((len(keys), len(by_figure))),
        boost=boost,
        healthy=np.array([_healthy(rows) for rows in by_figure.values()]),
        unasked=unasked,
        unasked_silent=_silent(table, case, unasked),
        undone=frozenset(case.undone),
    )


def _silent(table: Table, case: Case, symptoms: Sequence[str]) -> Floats:
    """Logarithm of P(symptom silent | cause), causes by symptoms."""
    place = {symptom: column for column, symptom in enumerate(table.symptoms)}
    known = _plain_silent(table)[:, [place[one] for one in symptoms]]
    for i, one in enumerate(table.causes) if case.facts else ():
        for column, symptom in enumerate(symptoms):
            if symptom in one.by_value:
                known[i, column] = math.log1p(-share(one, symptom, case))
    return known


@lru_cache(maxsize=TABLES_KEPT)
def _plain_silent(table: Table) -> Floats:
    """The same where no figure says otherwise, of all symptoms: it is so for every case."""
    rows = [[share(one, s, Case()) for s in table.symptoms] for one in table.causes]
    return np.log1p(-np.array(rows).reshape((len(rows), len(table.symptoms))))


Rows = Sequence[tuple[Figure, Value]]


def _by_figure(table: Table, values: Sequence[Value]) -> dict[str, list[tuple[Figure, Value]]]:
    found: dict[str, list[tuple[Figure, Value]]] = {}
    for one in values:
        if one.figure in table.figures:
            found.setdefault(one.figure, []).append((table.figures[one.figure], one))
    bears = {key for cause in table.causes for key in cause.readings}
    return {key: rows for key, rows in found.items() if key in bears}


def share(cause: Cause, symptom: str, case: Case) -> float:
    """P(symptom | cause alone), by the value of a figure where that was read."""
    fact = (case.facts or {}).get(cause.by_value.get(symptom, ""))
    p = cause.symptoms.get(symptom, 0.0) if fact is None else fact
    return min(p, SURE_P)


def ratio_of(cause: Cause, figure: Figure, value: Value) -> float:
    """The density of a value under the cause against the healthy one, as a factor."""
    return _dense(cause.readings[figure.key], figure, value) / _dense(figure.healthy, figure, value)


def _dense(spec: Sequence[object], figure: Figure, value: Value) -> float:
    read = value.value
    if figure.least is not None and not isinstance(read, str):
        read = max(read, figure.least)
    return density(spec, read, value.u, figure.span)


def bearing(cause: Cause, rows: Rows) -> float:
    """Logarithm of what all subjects of a figure say for a cause, against all healthy.

    A cause may sit on one string of two: each is hit or spared with even odds, one at least is
    hit. So a string that reads well does not excuse another that does not.
    """
    if rows[0][0].key not in cause.readings:
        return NOT_BEARING
    ratios = [ratio_of(cause, figure, value) for figure, value in rows]
    if len(ratios) == 1:
        return math.log(ratios[0])
    none = 0.5 ** len(ratios)
    mixed = math.prod(0.5 + 0.5 * one for one in ratios) - none
    return math.log(max(mixed, 1e-300) / (1.0 - none))


def _healthy(rows: Rows) -> float:
    return min(_dense(figure.healthy, figure, value) for figure, value in rows)


def _even_out(boost: Floats, prior: Floats) -> Floats:
    """What a parent's children would add to its own prior, were it not taken off."""
    odds = prior / (1.0 - prior)
    more: Floats = np.log((1.0 + odds * np.exp(boost)) / (1.0 + odds)).sum(axis=1)
    return more


def _odds(cause: Cause, case: Case) -> float:
    times = [one.times for one in (*seen(cause, case), *happened(cause, case))]
    return math.log(cause.prior / (1.0 - cause.prior)) + sum(math.log(one) for one in times)


def _looked(table: Table, cause: Cause, case: Case) -> float:
    if cause.key not in case.looked:
        return 0.0
    return math.log(check_times(table, found=case.looked[cause.key]))


def check_times(table: Table, *, found: bool) -> float:
    """By what the check of a cause multiplies its odds, when it found it and when it did not."""
    if found:
        return table.sensitivity / (1.0 - table.specificity)
    return (1.0 - table.sensitivity) / table.specificity


def seen(cause: Cause, case: Case) -> list[Odds]:
    """What the findings of the case say of a cause; one term counts once."""
    best: dict[str, Odds] = {}
    for one in cause.findings:
        keys = [f"{one.what}@{part}" for part in one.parts] if one.parts else [one.what]
        if case.findings & set(keys) and (one.what not in best or one.times > best[one.what].times):
            best[one.what] = one
    return list(best.values())


def happened(cause: Cause, case: Case) -> list[Odds]:
    """What the history says of a cause, where the time that has passed fits."""
    return [one for one in cause.history if any(_fits(one, past) for past in case.past)]


def _fits(odds: Odds, past: Past) -> bool:
    if odds.what != past.what:
        return False
    if odds.under is None and odds.over is None:
        return True
    if past.days is None:
        return False
    return (odds.under is None or past.days <= odds.under) and (
        odds.over is None or past.days >= odds.over
    )


def _boost(table: Table) -> Floats:
    at = {one.key: i for i, one in enumerate(table.causes)}
    boost = np.zeros((len(at), len(at)))
    for parent, children in table.given.items():
        for child, times in children.items():
            if parent in at and child in at:
                boost[at[parent], at[child]] = math.log(times)
    return boost
