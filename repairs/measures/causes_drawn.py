"""Faults drawn from the table, and the bench where they are looked for.

Causes are drawn by their prior; each makes its symptoms by P, and what nobody listed makes some by
the leak. Four symptoms in five are asked about when the instrument comes in; what was not asked is
not known, heard or not. What is read and looked at then is chosen in one of two ways: blind, three
sheets that the symptoms point to; or as somebody works who does what the tool proposes next, one
after the other: a symptom to hear, a sheet, the check of a cause, a cause to put out of the way.
A sheet yields all its figures (of force and paper, which tell the same, only the force); a check
errs as often as the table says; what is heard is what the causes make.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from repairs.gauges.base.arrays import Floats
from repairs.gauges.causes.again import MISHEARD
from repairs.gauges.causes.density import draw
from repairs.gauges.causes.look import Look, Wanted, best_looks
from repairs.gauges.causes.net import Case, Net, Value, build
from repairs.gauges.causes.posterior import Posterior, posterior
from repairs.gauges.causes.table import Cause, Table

ASKED = 0.8  # share of the symptoms that somebody asks about
SHEETS = 3  # gauges a case, at most
TOLD_LEAST = 0.005  # bits: what tells less is not looked at any more
SAME_AS_FORCE = "paper_"


@dataclass(frozen=True)
class Bench:
    """How a fault is looked for: so many looks at most (symptoms that are heard are not counted),
    within so many minutes."""

    name: str
    looks: int
    minutes: float


@dataclass(frozen=True)
class Fault:
    """One fault: which causes are there (C), what each of them makes, what is known of it.

    ``unlisted``: symptoms that something makes which is in no table.
    """

    there: tuple[Cause, ...]
    true: Floats
    made: tuple[frozenset[str], ...]
    unlisted: frozenset[str]
    case: Case

    @property
    def is_noticed(self) -> bool:
        """Whether each of its causes makes something that can be noticed."""
        return all(self.made)

    def makes(self, symptom: str, without: frozenset[str] = frozenset()) -> bool:
        """Whether the symptom is there when some causes are put out of the way."""
        rows = zip(self.there, self.made, strict=True)
        by_cause = any(symptom in made for cause, made in rows if cause.key not in without)
        return by_cause or symptom in self.unlisted


@dataclass(frozen=True)
class Found:
    """What was found of a fault, with how many looks and minutes."""

    net: Net
    posterior: Posterior
    looks: int = 0
    minutes: float = 0.0


def fault(table: Table, rng: np.random.Generator) -> Fault:
    """One with at least one cause and one symptom: nobody else comes to the shop."""
    while True:
        there = _there(table, rng)
        made = tuple(
            frozenset(s for s, p in one.symptoms.items() if rng.random() < p) for one in there
        )
        unlisted = frozenset(s for s in table.symptoms if rng.random() < table.leak)
        asked = frozenset(s for s in table.symptoms if rng.random() < ASKED)
        heard = asked & unlisted.union(*made)
        if there and heard:
            break
    keys = {one.key for one in there}
    true = np.array([float(one.key in keys) for one in table.causes])
    return Fault(tuple(there), true, made, unlisted, Case(heard, asked - heard))


def found_blind(table: Table, one: Fault, rng: np.random.Generator) -> Found:
    """What is found with three sheets that the symptoms point to, checks left alone."""
    sheets = _sheets(table, one.case.heard)
    values = tuple(
        Value(key, _read(table, one.there, key, rng))
        for key, figure in table.figures.items()
        if figure.gauge in sheets
    )
    net = build(table, replace(one.case, values=values))
    return Found(net, posterior(net, complaint=True))


def found_at(
    benches: tuple[Bench, ...], table: Table, one: Fault, rng: np.random.Generator
) -> Iterator[Found]:
    """What is found at each bench, the longest last: what the tool proposes next is done until its
    looks or minutes are spent, or nothing tells any more."""
    case, taken, spent = one.case, dict[str, bool](), 0.0
    ends = list(benches)
    while ends:
        net = build(table, case)
        now = Found(net, posterior(net, complaint=True), len(taken), spent)
        look = _next(table, now, taken, ends[-1])
        while ends and (look is None or _is_spent(ends[0], now, look)):
            ends.pop(0)
            yield now
        if look is None:
            return
        case = _looked(table, one, case, look, rng)
        if look.kind != "symptom":
            taken[look.key if look.kind != "undo" else f"undo {look.key}"] = look.kind == "reading"
        spent += look.minutes


def _next(table: Table, now: Found, taken: dict[str, bool], bench: Bench) -> Look | None:
    """What the tool proposes and there is still time for."""
    sheets = sum(taken.values()) < SHEETS
    wanted = Wanted(1, bench.minutes - now.minutes, TOLD_LEAST, sheets=sheets)
    looks = best_looks(table, now.net, now.posterior, taken=taken, wanted=wanted)
    return looks[0] if looks else None


def _is_spent(bench: Bench, now: Found, look: Look) -> bool:
    return now.looks == bench.looks or now.minutes + look.minutes > bench.minutes


def _looked(table: Table, one: Fault, case: Case, look: Look, rng: np.random.Generator) -> Case:
    """The case after a look: what the true causes let it show."""
    if look.kind == "symptom":
        heard = frozenset({look.key})
        if one.makes(look.key):
            return replace(case, heard=case.heard | heard)
        return replace(case, denied=case.denied | heard)
    if look.kind == "undo":
        away = frozenset({look.key})
        stays = {
            symptom: one.makes(symptom, away) != (rng.random() < MISHEARD) for symptom in look.hears
        }
        return replace(case, undone={**case.undone, look.key: stays})
    if look.kind == "reading":
        keys = [key for key, figure in table.figures.items() if figure.gauge == look.key]
        kept = [key for key in keys if not key.startswith(SAME_AS_FORCE)]
        read = tuple(Value(key, _read(table, one.there, key, rng)) for key in kept)
        return replace(case, values=case.values + read)
    is_there = look.key in {cause.key for cause in one.there}
    yes = table.sensitivity if is_there else 1.0 - table.specificity
    return replace(case, looked={**case.looked, look.key: bool(rng.random() < yes)})


def _there(table: Table, rng: np.random.Generator) -> list[Cause]:
    """Causes by their prior; children after the parents that raise their odds."""
    found: list[Cause] = []
    for one in sorted(table.causes, key=lambda cause: cause.key not in table.given):
        odds = one.prior / (1 - one.prior)
        for parent in found:
            odds *= table.given.get(parent.key, {}).get(one.key, 1.0)
        if rng.random() < odds / (1 + odds):
            found.append(one)
    return found


def _sheets(table: Table, heard: frozenset[str]) -> list[str]:
    """The sheets that bear most on what the symptoms point to."""
    worth = dict.fromkeys(table.looks, 0.0)
    for one in table.causes:
        points = one.prior * sum(one.symptoms.get(symptom, 0.0) for symptom in heard)
        for gauge in {table.figures[key].gauge for key in one.readings} & set(worth):
            worth[gauge] += points
    return sorted((g for g in worth if worth[g] > 0), key=lambda g: -worth[g])[:SHEETS]


def _read(
    table: Table, there: tuple[Cause, ...], key: str, rng: np.random.Generator
) -> float | str:
    """A figure as one of the causes has it that bear on it, else as it is where all is well."""
    specs = [one.readings[key] for one in there if key in one.readings]
    spec = specs[int(rng.integers(len(specs)))] if specs else table.figures[key].healthy
    return draw(spec, float(rng.random()))
