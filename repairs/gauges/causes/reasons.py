"""What speaks for and against a cause, as factors; and what fits no cause that is likely."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.arrays import np
from repairs.gauges.causes.net import Case, Net, Value, bearing, check_times, happened, seen, share
from repairs.gauges.causes.posterior import Posterior
from repairs.gauges.causes.table import Cause, Table

Kind = Literal["heard", "denied", "again", "reading", "finding", "history", "check"]
SILENT = 0.1  # a factor nearer to 1 than this says nothing
UNEXPLAINED = 0.5  # P that a symptom comes from no cause of the table
STRAY_TAIL = 2e-3  # a figure so far out of what all causes foresee is questioned
SURE = 0.5


@dataclass(frozen=True)
class Reason:
    """One piece of evidence, and by how much it multiplies the odds of the cause taken alone."""

    kind: Kind
    what: str
    times: float
    values: tuple[Value, ...] = ()


@dataclass(frozen=True)
class Contradiction:
    """Something that does not go with what is most likely.

    ``unexplained``: heard, and nothing likely makes it. ``silent``: a likely cause makes it
    nearly always, and it was denied. ``stray``: a figure that no cause, nor health, foresees.
    """

    kind: Literal["unexplained", "silent", "stray"]
    what: str
    cause: str = ""


def reasons(table: Table, cause: Cause, case: Case, net: Net) -> tuple[Reason, ...]:
    """Everything that moves the cause, the strongest first."""
    found = [*_heard(table, cause, case), *_again(table, cause, net), *_read(table, cause, case)]
    found += [Reason("finding", one.what, one.times) for one in seen(cause, case)]
    found += [Reason("history", one.what, one.times) for one in happened(cause, case)]
    if cause.key in case.looked:
        times = check_times(table, found=case.looked[cause.key])
        found.append(Reason("check", cause.key, times))
    telling = [one for one in found if abs(math.log(one.times)) >= SILENT]
    return tuple(sorted(telling, key=lambda one: -abs(math.log(one.times))))


def _heard(table: Table, cause: Cause, case: Case) -> Iterator[Reason]:
    for symptom in cause.symptoms:
        p = share(cause, symptom, case)
        if symptom in case.heard:
            yield Reason("heard", symptom, 1.0 - p + p / table.leak)
        elif symptom in case.denied:
            yield Reason("denied", symptom, 1.0 - p)


def _again(table: Table, cause: Cause, net: Net) -> Iterator[Reason]:
    """What a symptom says that was heard again with a cause put out of the way."""
    heard, silent = net.heard, net.heard.silent[net.keys.index(cause.key)]
    whole = heard.p(silent) / heard.p(heard.nothing)
    for column, symptom in enumerate(heard.symptoms):
        if heard.stay[column] < 1.0:
            p = -math.expm1(silent[column])
            yield Reason("again", symptom, float(whole[column]) / (1.0 - p + p / table.leak))


def _read(table: Table, cause: Cause, case: Case) -> Iterator[Reason]:
    for key in cause.readings:
        rows = [(table.figures[key], one) for one in case.values if one.figure == key]
        if rows:
            times = math.exp(max(min(bearing(cause, rows), 50.0), -50.0))
            yield Reason("reading", key, times, tuple(value for _figure, value in rows))


def contradictions(
    table: Table, case: Case, net: Net, found: Posterior
) -> tuple[Contradiction, ...]:
    """What does not go together; said, not hidden in a percentage."""
    p = dict(zip(net.keys, found.p, strict=True))
    rows = [Contradiction("unexplained", one) for one in _unexplained(table, net, found)]
    for cause in table.causes:
        for symptom in cause.symptoms:
            missed = symptom in case.denied and share(cause, symptom, case) >= 0.8
            if missed and p[cause.key] >= SURE:
                rows.append(Contradiction("silent", symptom, cause.key))
    rows += [Contradiction("stray", key) for key in _stray(table, net, found)]
    return tuple(rows)


def _unexplained(table: Table, net: Net, found: Posterior) -> list[str]:
    """Symptoms that come from no cause with more than even odds, over the heaviest sets."""
    heard = net.heard
    if not heard.symptoms or not len(found.shares):
        return []
    quiet = np.where(found.sets[:, :, None] >= 0, heard.silent[found.sets], 0.0).sum(axis=1)
    alone = found.shares @ (table.leak * heard.stay / heard.p(quiet)) / found.shares.sum()
    return [symptom for symptom, p in zip(heard.symptoms, alone, strict=True) if p > UNEXPLAINED]


def _stray(table: Table, net: Net, found: Posterior) -> list[str]:
    """Figures whose density is far below what is usual under every likely set."""
    out = []
    for at, key in enumerate(net.figures):
        ratio = np.where(found.sets >= 0, net.ratio[found.sets, at], -np.inf).max(axis=1)
        dense = net.healthy[at] * np.exp(np.where(np.isfinite(ratio), ratio, 0.0))
        spread = float(found.shares @ dense / found.shares.sum()) * table.figures[key].span
        if spread < STRAY_TAIL:
            out.append(key)
    return out
