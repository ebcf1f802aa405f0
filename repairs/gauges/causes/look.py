"""What to look at next: expected fall of entropy over the causes, a minute at the bench.

The check of one cause says yes or no (how surely stands in the fixture), and its information is
exact. A sheet of readings is foreseen whole, all its figures together (sheet.py); so are a symptom
to ask about and what stays when a cause is put out of the way (hear.py). Source: Lindley,
Ann. Math. Stat. 27 (1956): the information of an experiment.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from repairs.gauges.causes.hear import Told, asked, likely, put_away
from repairs.gauges.causes.net import Net
from repairs.gauges.causes.posterior import Posterior
from repairs.gauges.causes.sheet import Sheet, foresee, moved
from repairs.gauges.causes.table import Cause, Table

LIKELY = 0.02  # a cause less likely than this is not looked for by itself
TELLS = 1e-3  # bits below which nothing is told
SHOWN = 5
ASK_MINUTES = 1.0  # to play or turn it and hear one symptom; common practice
ASKED_AT_ONCE = 2  # the others are asked for further down the page anyway

Kind = Literal["check", "reading", "symptom", "undo"]


@dataclass(frozen=True)
class Look:
    """What to look at or hear: what it costs, what it tells, and which cause it would move most.

    ``key`` is a cause (its check, or that it is put out of the way: ``undo``), a gauge (its sheet)
    or a symptom; ``hears``: symptoms that may be gone when the cause is put out of the way.
    """

    kind: Kind
    key: str
    minutes: float
    bits: float
    cause: str
    now: float
    if_so: float
    if_not: float
    hears: tuple[str, ...] = ()

    @property
    def worth(self) -> float:
        """Bits a minute."""
        return self.bits / self.minutes


@dataclass(frozen=True)
class Wanted:
    """Which looks are asked for: ``most`` of them, each within ``minutes``, telling more than
    ``least`` bits; ``sheets``: whether readings are."""

    most: int = SHOWN
    minutes: float = math.inf
    least: float = TELLS
    sheets: bool = True


def best_looks(
    table: Table,
    net: Net,
    found: Posterior,
    *,
    taken: Collection[str],
    wanted: Wanted = Wanted(),
) -> tuple[Look, ...]:
    """The looks that are worth most a minute; what was just ``taken``, a sheet or the check of a
    cause, is not offered again."""
    p = dict(zip(net.keys, (float(one) for one in found.p), strict=True))
    active = {net.keys[i] for i in net.active} or set(net.keys)
    near = [one for one in table.causes if p[one.key] >= LIKELY and one.key in active]
    looks = [
        check_look(table, cause, p[cause.key])
        for cause in near
        if not cause.check_by and cause.key not in taken
    ]
    looks += ear_looks(net, found, near)
    looks = [one for one in looks if _is_wanted(one, wanted)]
    # No sheet is worth foreseeing that cannot be among them, however much it tells.
    worth = sorted(one.worth for one in looks)[-wanted.most] if len(looks) >= wanted.most else 0.0
    seen = {
        gauge: foresee(table.drawn, net, found, gauge, worth * minutes)
        for gauge, minutes in (table.looks.items() if wanted.sheets else ())
        if gauge not in taken
    }
    sheets = (_sheet(table, gauge, one) for gauge, one in seen.items())
    looks += [one for one in sheets if _is_wanted(one, wanted)]
    shown = (_moving(net, one, seen) for one in sorted(looks, key=lambda one: -one.worth))
    return tuple(itertools.islice((one for one in shown if one.cause), wanted.most))


def _is_wanted(look: Look, wanted: Wanted) -> bool:
    return look.bits > wanted.least and look.minutes <= wanted.minutes


def _sheet(table: Table, gauge: str, seen: Sheet) -> Look:
    return Look("reading", gauge, table.looks[gauge], seen.bits, "", 0.0, 0.0, 0.0)


def _moving(net: Net, look: Look, seen: Mapping[str, Sheet]) -> Look:
    """A sheet with the cause that it would move most, which costs more to know than its bits."""
    most = moved(net, seen[look.key]) if look.kind == "reading" else None
    if most is None:
        return look
    return replace(look, cause=most[0], now=most[1], if_so=most[2], if_not=most[3])


def ear_looks(net: Net, found: Posterior, near: Collection[Cause]) -> Iterator[Look]:
    """Symptoms to ask about, and causes to put out of the way, what was heard before in the ear."""
    if not net.heard.symptoms or not net.active:
        return
    sets = likely(net, found)
    best = sorted(asked(net, sets), key=lambda one: -one[1].bits)[:ASKED_AT_ONCE]
    for symptom, told in best:
        yield _heard_look("symptom", symptom, ASK_MINUTES, told)
    for cause in near:
        if cause.undo_minutes and cause.key not in net.undone:
            hears, told = put_away(net, sets, cause.key)
            yield _heard_look("undo", cause.key, cause.undo_minutes, told, hears)


def _heard_look(
    kind: Kind, key: str, minutes: float, told: Told, hears: tuple[str, ...] = ()
) -> Look:
    return Look(kind, key, minutes, told.bits, told.cause, told.now, told.if_so, told.if_not, hears)


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
    look = _sheet(table, gauge, seen)
    return _moving(net, look, {gauge: seen}) if seen.bits > TELLS else look
