"""The search for causes: how often right, how well calibrated, and the ceiling of any search.

Faults are drawn from the table itself. Two such faults cannot be told apart by anybody whose
symptoms and readings are the same, so even the exact posterior of the very model that drew them is
right only as often as it says itself: that is the ceiling, and it stands beside each figure. That
the posterior is exact is checked by a walk of another kind over some of the same faults.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from repairs.causes.tables import table_of
from repairs.gauges.base.arrays import Floats
from repairs.gauges.causes.net import Net
from repairs.gauges.causes.posterior import Posterior
from repairs.gauges.causes.table import Table
from repairs.instruments.kinds import kinds
from repairs.measures.causes_drawn import Bench, Fault, fault, found_at, found_blind
from repairs.measures.causes_sampled import sampled
from repairs.measures.harness import Figure, Plan, Say

FAULTS, QUICK_FAULTS, SEED = 1000, 30, 20261130
SAMPLED, QUICK_SAMPLED = 12, 1
FAMILIES = {"wheel_fiddle", "dog"}  # of the kind that has most causes
BENCHES = (
    Bench("blind"),
    Bench("three looks", looks=3, minutes=90.0),
    Bench("an hour", looks=40, minutes=60.0),
)
WHAT = {
    "blind": "three sheets that the symptoms point to, no check",
    "three looks": "each the tool’s own next, a sheet or a check",
    "an hour": "the tool’s own next, sheets and checks, at most three sheets",
}


@dataclass(frozen=True)
class _Row:
    """One fault as it was found: stated and true (C), its ceilings, whether all is heard."""

    stated: Floats
    true: Floats
    one_there: float
    both_there: float
    is_heard: bool


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Draw faults, search, and return accuracy, calibration and ceilings by name."""
    kind = next(slug for slug, one in kinds().items() if set(one.families) >= FAMILIES)
    table, is_quick = table_of(kind), plan.rounds == 1
    count = QUICK_FAULTS if is_quick else FAULTS
    figures = {"faults": Figure(float(count), "cases")}
    for bench in BENCHES:
        rng = np.random.default_rng(SEED)
        faults = [fault(table, rng) for _number in range(count)]
        found = list(_found(bench, table, faults, say))
        rows = [_row(one, net, p) for one, (net, p) in zip(faults, found, strict=True)]
        figures |= {f"{name}, {bench.name}": one for name, one in _figures(rows, bench).items()}
    some = found[: QUICK_SAMPLED if is_quick else SAMPLED]
    return figures | _against_sampling(some, np.random.default_rng(SEED))


def _found(
    bench: Bench, table: Table, faults: list[Fault], say: Say
) -> Iterator[tuple[Net, Posterior]]:
    rng = np.random.default_rng(SEED + 1)
    for number, one in enumerate(faults, 1):
        yield found_at(bench, table, one, rng) if bench.looks else found_blind(table, one, rng)
        if number % 250 == 0:
            say(f"{bench.name}: {number} of {len(faults)} faults")


def _row(one: Fault, net: Net, found: Posterior) -> _Row:
    return _Row(found.p, one.true, *_bounds(net, found), one.is_heard)


def _bounds(net: Net, found: Posterior) -> tuple[float, float]:
    """By the posterior itself: P that one of its three first is there; and, of all pairs of
    causes, the share of those that lie within the three."""
    three = np.argsort(-found.p)[:3]
    within = np.isin(found.sets, three)
    size = (found.sets >= 0).sum(axis=1)
    others = np.setdiff1d(np.arange(len(net.keys)), net.active)
    beside = float(np.exp(net.log_odds[others]).sum())  # a second one that nothing points to
    pairs = float(found.shares[size == 2].sum() + beside * found.shares[size == 1].sum())
    both = float(found.shares[(size == 2) & (within.sum(axis=1) == 2)].sum())
    # What nothing points to is there or not by itself; and somebody complained of something.
    spared = 1.0 / (1.0 + np.exp(net.log_odds))
    shares = found.shares / found.shares.sum()
    missed = float(shares[~within.any(axis=1)].sum() * spared[np.intersect1d(three, others)].prod())
    nothing = float(shares[size == 0].sum() * spared[others].prod())
    one_there = (1.0 - missed) / (1.0 - nothing)
    return one_there, both / pairs if pairs > 0 else 0.0


def _figures(rows: list[_Row], bench: Bench) -> dict[str, Figure]:
    stated, true = np.array([row.stated for row in rows]), np.array([row.true for row in rows])
    hits = np.take_along_axis(true, np.argsort(-stated, axis=1), axis=1)
    two = true.sum(axis=1) == 2
    both = hits[:, :3].sum(axis=1) == 2
    heard = two & np.array([row.is_heard for row in rows])
    one_there = np.array([row.one_there for row in rows])
    both_there = np.array([row.both_there for row in rows])
    brier = float(((stated - true) ** 2).sum(axis=1).mean())
    found = {"Brier": Figure(brier, "a case", None, WHAT[bench.name])}
    for name, right, goal, most in (
        ("true cause first", hits[:, 0], ">= 85", stated.max(axis=1)),
        ("a true cause in three", hits[:, :3].any(axis=1), ">= 97", one_there),
        ("two, both in three", both[two], ">= 90", both_there[two]),
    ):
        ceiling = f"the exact posterior reaches {100 * float(most.mean()):.1f} %"
        found[name] = Figure(100 * float(right.mean()), "%", goal, ceiling)
    if heard.any():
        share = f"{int(heard.sum())} of {int(two.sum())} double faults; the others: one of the two"
        note = f"{share} makes none of its symptoms"
        found["two that are both heard"] = Figure(100 * float(both[heard].mean()), "%", None, note)
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


def _against_sampling(
    some: list[tuple[Net, Posterior]], rng: np.random.Generator
) -> dict[str, Figure]:
    """The posterior beside a long walk over the same evidence: both should say the same."""
    off, ceilings = [], []
    for net, found in some:
        states = sampled(net, rng)
        off.append(float(np.abs(states.mean(axis=0) - found.p).max()))
        three = np.argsort(-states.mean(axis=0))[:3]
        by_walk = float(states[:, three].any(axis=1).mean())
        ceilings.append((by_walk, _bounds(net, found)[0]))
    walked, stated = (100 * float(column.mean()) for column in np.array(ceilings).T)
    note = f"a true cause in three: by the walk {walked:.1f} %, by the posterior {stated:.1f} %"
    mean = Figure(100 * float(np.mean(off)), "points", "<= 2", f"{len(some)} faults; {note}")
    worst = "the largest of all causes and faults"
    return {
        "off from a walk through all sets": mean,
        "off from it at the worst": Figure(100 * max(off), "points", None, worst),
    }
