"""The search for causes: how often right, how well calibrated, and the ceiling of any search.

Faults are drawn from the table itself: causes by their prior, symptoms by P and leak, up to three
sheets that the symptoms point to. Two such faults cannot be told apart by anybody whose symptoms
and readings are the same, so even the exact posterior of the very model that drew them is right
only as often as it says itself: that is the ceiling.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from repairs.causes.tables import table_of
from repairs.gauges.base.arrays import Floats
from repairs.gauges.causes.density import draw
from repairs.gauges.causes.net import Case, Net, Value, build
from repairs.gauges.causes.posterior import Posterior, posterior
from repairs.gauges.causes.table import Cause, Table
from repairs.instruments.kinds import kinds
from repairs.measures.harness import Figure, Plan, Say

FAULTS, QUICK_FAULTS, SEED = 1000, 30, 20261130
SHEETS, ASKED = 3, 0.8
FAMILIES = {"wheel_fiddle", "dog"}  # of the kind that has most causes


@dataclass(frozen=True)
class _Drawn:
    """One fault: which causes are there (C), and what is known of it."""

    true: Floats
    case: Case


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Draw faults, search, and return accuracy, calibration and the ceiling by name."""
    kind = next(slug for slug, one in kinds().items() if set(one.families) >= FAMILIES)
    table, rng = table_of(kind), np.random.default_rng(SEED)
    count = QUICK_FAULTS if plan.rounds == 1 else FAULTS
    stated, true, bounds = [], [], []
    for number in range(count):
        fault = _fault(table, rng)
        net = build(table, fault.case)
        found = posterior(net, complaint=True)
        stated.append(found.p)
        true.append(fault.true)
        bounds.append(_bounds(net, found))
        if number % 250 == 249:
            say(f"{number + 1} of {count} faults")
    return _figures(np.array(stated), np.array(true), np.array(bounds))


def _bounds(net: Net, found: Posterior) -> tuple[float, float]:
    """By the posterior itself: P that one of its three first is there; and, of all pairs of
    causes, the share of those that lie within the three."""
    three = np.argsort(-found.p)[:3]
    within = np.isin(found.sets, three)
    one_there = float(found.shares[within.any(axis=1)].sum() / found.shares.sum())
    size = (found.sets >= 0).sum(axis=1)
    others = np.setdiff1d(np.arange(len(net.keys)), net.active)
    beside = float(np.exp(net.log_odds[others]).sum())  # a second one that nothing points to
    pairs = float(found.shares[size == 2].sum() + beside * found.shares[size == 1].sum())
    both = float(found.shares[(size == 2) & (within.sum(axis=1) == 2)].sum())
    return one_there, both / pairs if pairs > 0 else 0.0


def _figures(stated: Floats, true: Floats, bounds: Floats) -> dict[str, Figure]:
    order = np.argsort(-stated, axis=1)
    hits = np.take_along_axis(true, order, axis=1)
    two = true.sum(axis=1) == 2
    brier = float(((stated - true) ** 2).sum(axis=1).mean())
    shares = (
        ("true cause first", hits[:, 0], ">= 85", stated.max(axis=1)),
        ("a true cause in three", hits[:, :3].any(axis=1), ">= 97", bounds[:, 0]),
        ("two, both in three", hits[two, :3].sum(axis=1) == 2, ">= 90", bounds[two, 1]),
    )
    found = {"faults": Figure(float(len(stated)), "cases"), "Brier": Figure(brier, "a case")}
    for name, right, goal, most in shares:
        ceiling = f"the exact posterior reaches {100 * float(most.mean()):.1f} %"
        found[name] = Figure(100 * float(right.mean()), "%", goal, ceiling)
    return found | _reliability(stated, true)


def _reliability(stated: Floats, true: Floats) -> dict[str, Figure]:
    """Each tenth of stated probability, and how often it came true."""
    rows = {}
    for tenth in range(10):
        here = (stated >= tenth / 10) & (stated < (tenth + 1) / 10 + (tenth == 9))
        if here.any():
            off = 100 * float(abs(true[here].mean() - stated[here].mean()))
            said = f"stated {100 * stated[here].mean():.1f}, true {100 * true[here].mean():.1f}"
            name = f"off at {10 * tenth} to {10 * tenth + 10} %"
            rows[name] = Figure(off, "points", "<= 5", f"{said}, {int(here.sum())} causes")
    return rows


def _fault(table: Table, rng: np.random.Generator) -> _Drawn:
    """One with at least one cause and one symptom: nobody else comes to the shop."""
    while True:
        there = _there(table, rng)
        heard = {s for s in table.symptoms if rng.random() > _silent(table, there, s)}
        if there and heard:
            break
    asked = {s for s in table.symptoms if rng.random() < ASKED}
    gauges = _sheets(table, heard)
    values = tuple(
        Value(key, _read(table, there, key, rng))
        for key, figure in table.figures.items()
        if figure.gauge in gauges
    )
    keys = {one.key for one in there}
    true = np.array([float(one.key in keys) for one in table.causes])
    return _Drawn(true, Case(frozenset(heard), frozenset(asked - heard), values))


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


def _sheets(table: Table, heard: set[str]) -> list[str]:
    """The sheets that bear most on what the symptoms point to."""
    worth = dict.fromkeys(table.looks, 0.0)
    for one in table.causes:
        points = one.prior * sum(one.symptoms.get(symptom, 0.0) for symptom in heard)
        for gauge in {table.figures[key].gauge for key in one.readings} & set(worth):
            worth[gauge] += points
    return sorted((g for g in worth if worth[g] > 0), key=lambda g: -worth[g])[:SHEETS]


def _read(table: Table, there: list[Cause], key: str, rng: np.random.Generator) -> float | str:
    """A figure as one of the causes has it that bear on it, else as it is where all is well."""
    specs = [one.readings[key] for one in there if key in one.readings]
    spec = specs[int(rng.integers(len(specs)))] if specs else table.figures[key].healthy
    return draw(spec, float(rng.random()))
