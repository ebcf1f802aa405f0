"""Faults drawn from the table, and the bench where they are looked for.

Causes are drawn by their prior, symptoms by P and leak. What is read and looked at then is chosen
in one of two ways: blind, three sheets that the symptoms point to; or as somebody works who does
what the tool proposes next, a sheet or the check of a cause, one after the other. A sheet yields
all its figures (of force and paper, which tell the same, only the force); a check errs as often as
the table says.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from repairs.gauges.base.arrays import Floats
from repairs.gauges.causes.density import draw
from repairs.gauges.causes.look import Look, best_looks
from repairs.gauges.causes.net import Case, Net, Value, build
from repairs.gauges.causes.posterior import Posterior, posterior
from repairs.gauges.causes.table import Cause, Table

ASKED = 0.8  # share of the symptoms that somebody asks about
SHEETS = 3  # gauges a case, at most
SAME_AS_FORCE = "paper_"


@dataclass(frozen=True)
class Bench:
    """How a fault is looked for: ``looks`` at most, within so many minutes; 0 looks is blind."""

    name: str
    looks: int = 0
    minutes: float = 0.0


@dataclass(frozen=True)
class Fault:
    """One fault: which causes are there (C), whether each of them is heard, what is known."""

    there: tuple[Cause, ...]
    true: Floats
    is_heard: bool
    case: Case


def fault(table: Table, rng: np.random.Generator) -> Fault:
    """One with at least one cause and one symptom: nobody else comes to the shop."""
    while True:
        there = _there(table, rng)
        heard = {s for s in table.symptoms if rng.random() > _silent(table, there, s)}
        if there and heard:
            break
    asked = {s for s in table.symptoms if rng.random() < ASKED}
    keys = {one.key for one in there}
    true = np.array([float(one.key in keys) for one in table.causes])
    all_heard = all(heard & set(one.symptoms) for one in there)
    return Fault(tuple(there), true, all_heard, Case(frozenset(heard), frozenset(asked - heard)))


def found_blind(table: Table, one: Fault, rng: np.random.Generator) -> tuple[Net, Posterior]:
    """What is found with three sheets that the symptoms point to, checks left alone."""
    values = tuple(
        Value(key, _read(table, one.there, key, rng))
        for key, figure in table.figures.items()
        if figure.gauge in _sheets(table, one.case.heard)
    )
    net = build(table, replace(one.case, values=values))
    return net, posterior(net, complaint=True)


def found_at(
    bench: Bench, table: Table, one: Fault, rng: np.random.Generator
) -> tuple[Net, Posterior]:
    """What is found by doing what the tool proposes next, while looks and minutes last."""
    case, taken, left = one.case, dict[str, bool](), bench.minutes
    while True:
        net = build(table, case)
        found = posterior(net, complaint=True)
        if len(taken) == bench.looks:
            return net, found
        looks = best_looks(
            table, net, found, taken=taken, sheets=sum(taken.values()) < SHEETS, most=99
        )
        look = next((look for look in looks if look.minutes <= left), None)
        if look is None:
            return net, found
        case = _looked(table, one, case, look, rng)
        taken[look.key] = look.kind == "reading"
        left -= look.minutes


def _looked(table: Table, one: Fault, case: Case, look: Look, rng: np.random.Generator) -> Case:
    """The case after a look: what the true causes let the sheet show, or the check answer."""
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


def _silent(table: Table, there: list[Cause], symptom: str) -> float:
    return (1 - table.leak) * float(np.prod([1 - c.symptoms.get(symptom, 0.0) for c in there]))


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
