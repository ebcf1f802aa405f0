"""The search for causes: how often right, how well calibrated, and the ceiling of any search.

Faults are drawn from the table itself. Two such faults cannot be told apart by anybody whose
symptoms and readings are the same, so even the exact posterior of the very model that drew them is
right only as often as it says itself: that is the ceiling, and it stands beside each figure. That
the posterior is exact is checked by a walk of another kind over some of the same faults.

Goals stand on the bench “until settled”, which is how a workshop looks for a cause; at the others,
which are stopped early, nobody could do better than the ceiling, so they are held against that.
"""

from __future__ import annotations

import math
import multiprocessing
import os
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial

import numpy as np

from repairs.causes.tables import table_of
from repairs.gauges.base.arrays import Floats
from repairs.instruments.kinds import kinds
from repairs.measures.causes_ceiling import Ceiling, ceiling
from repairs.measures.causes_drawn import Bench, Found, fault, found_at, found_blind
from repairs.measures.causes_sampled import sampled
from repairs.measures.harness import Figure, Plan, Say

FAULTS, QUICK_FAULTS, SEED = 1500, 30, 20261130
SAMPLED, QUICK_SAMPLED = 12, 1
FAMILIES = {"wheel_fiddle", "dog"}  # of the kind that has most causes
MANY = 999
BENCHES = (
    Bench("three looks", looks=3, minutes=90.0),
    Bench("an hour", looks=MANY, minutes=60.0),
    Bench("until settled", looks=MANY, minutes=90.0),
)
BLIND, SETTLED = "blind", BENCHES[-1].name
WHAT = {
    BLIND: "three sheets that the symptoms point to, no check; every case drawn",
    BENCHES[0].name: "each the tool’s own next (symptoms heard not counted); every case drawn",
    BENCHES[1].name: "the tool’s own next, at most three sheets; every case drawn",
    SETTLED: "the tool’s own next, at most three sheets, until no look tells 0.005 bit or 90 "
    "minutes are spent; cases each of whose causes makes a symptom",
}
GOALS = {"true cause first": 85.0, "a true cause in three": 97.0, "two, both in three": 90.0}
POINTS = 2.0  # of the ceiling, at the benches that are stopped early
OFF = 5.0  # points by which a tenth of stated probability may come true more or less often
CALIBRATED = f"<= {OFF:.0f}"
DOUBT = 2.0  # standard deviations of a share that is counted


@dataclass(frozen=True)
class _Row:
    """One fault as it was found: stated and true (C), its ceilings, whether all is noticed."""

    stated: Floats
    true: Floats
    ceiling: Ceiling
    is_noticed: bool
    minutes: float


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Draw faults, search, and return accuracy, calibration and ceilings by name."""
    kind = next(slug for slug, one in kinds().items() if set(one.families) >= FAMILIES)
    is_quick = plan.rounds == 1
    count = QUICK_FAULTS if is_quick else FAULTS
    rows = list(_all(partial(_searched, kind), count, say))
    noticed = sum(one[SETTLED].is_noticed for one in rows)
    left_out = f"{count - noticed} of {count}: a cause of theirs makes nothing that can be noticed"
    figures = {
        "faults": Figure(float(count), "cases"),
        "left out until settled": Figure(100 * (1 - noticed / count), "%", None, left_out),
    }
    for name in WHAT:
        found = _figures([one[name] for one in rows], name)
        figures |= {f"{key}, {name}": figure for key, figure in found.items()}
    walked = range(QUICK_SAMPLED if is_quick else SAMPLED)
    some = [_found(kind, number)[bench] for number in walked for bench in (BLIND, SETTLED)]
    return figures | _against_sampling(some, np.random.default_rng(SEED))


def _all(
    search: Callable[[int], dict[str, _Row]], count: int, say: Say
) -> Iterator[dict[str, _Row]]:
    """Every fault, over the cores of the machine; each is drawn by its own number, so that the
    figures are the same however many cores there are."""
    workers = min(os.cpu_count() or 1, 8)
    if count <= QUICK_FAULTS or workers == 1:
        yield from map(search, range(count))
        return
    # A fork takes over what is loaded; elsewhere a fresh process would have to load Django first.
    context = multiprocessing.get_context("fork")
    with ProcessPoolExecutor(workers, context) as pool:
        for number, one in enumerate(pool.map(search, range(count), chunksize=5), 1):
            yield one
            if number % 250 == 0:
                say(f"{number} of {count} faults")


def _searched(kind: str, number: int) -> dict[str, _Row]:
    """One fault at each bench, as rows that weigh little on the way between processes."""
    one = fault(table_of(kind), np.random.default_rng([SEED, number]))
    return {
        name: _Row(
            found.posterior.p,
            one.true,
            ceiling(found.net, found.posterior, noticed=name == SETTLED),
            one.is_noticed,
            found.minutes,
        )
        for name, found in _found(kind, number).items()
    }


def _found(kind: str, number: int) -> dict[str, Found]:
    """What is found of one fault, by bench."""
    table, rng = table_of(kind), np.random.default_rng([SEED, number])
    one = fault(table, rng)
    rows = found_at(BENCHES, table, one, rng)
    found = {bench.name: row for bench, row in zip(BENCHES, rows, strict=True)}
    return {BLIND: found_blind(table, one, rng), **found}


def _figures(rows: list[_Row], bench: str) -> dict[str, Figure]:
    """Accuracy of a bench, over the cases that it reads, and calibration over all that were drawn:
    a stated probability speaks of causes that nobody notices too."""
    kept = [row for row in rows if row.is_noticed or bench != SETTLED]
    stated, true = np.array([row.stated for row in rows]), np.array([row.true for row in rows])
    brier = float(((stated - true) ** 2).sum(axis=1).mean())
    found = {"Brier": Figure(brier, "a case", None, WHAT[bench])}
    if bench != BLIND:
        minutes = np.array([row.minutes for row in kept])
        half = f"half of them within {np.median(minutes):.0f}"
        found["minutes"] = Figure(float(minutes.mean()), "a case", None, half)
    for name, right, most in _right(kept):
        share, reached = 100 * float(right.mean()), 100 * float(most.mean())
        note = f"of {len(right)}; the exact posterior reaches {reached:.1f} %"
        chance = DOUBT * 100 * math.sqrt(float((most * (1.0 - most)).mean()) / len(most))
        note = f"{note}, chance ± {chance:.1f}"
        goal = GOALS[name] if bench == SETTLED else reached - max(POINTS, chance)
        found[name] = Figure(share, "%", f">= {goal:.1f}".removesuffix(".0"), note)
    if bench == SETTLED:
        for name, right, _most in _right(rows):
            share, note = 100 * float(right.mean()), f"of {len(right)}, noticed or not"
            found[f"{name}, all drawn"] = Figure(share, "%", None, note)
    return found | _reliability(stated, true)


def _right(rows: list[_Row]) -> Iterator[tuple[str, Floats, Floats]]:
    """Each promise: in which cases it was kept, and how often the posterior itself would."""
    stated, true = np.array([row.stated for row in rows]), np.array([row.true for row in rows])
    hits = np.take_along_axis(true, np.argsort(-stated, axis=1), axis=1)
    two = true.sum(axis=1) == 2
    ceilings = np.array([row.ceiling for row in rows])
    yield "true cause first", hits[:, 0], ceilings[:, 0]
    yield "a true cause in three", hits[:, :3].max(axis=1), ceilings[:, 1]
    both: Floats = (hits[two, :3].sum(axis=1) == 2).astype(np.float64)
    yield "two, both in three", both, ceilings[two, 2]


def _reliability(stated: Floats, true: Floats) -> dict[str, Figure]:
    """Each tenth of stated probability, and how often it came true; judged where enough causes
    fall into it that chance alone keeps within the goal, and all tenths together always."""
    rows, off_all, count_all = {}, 0.0, 0
    for tenth in range(10):
        here = (stated >= tenth / 10) & (stated < (tenth + 1) / 10 + (tenth == 9))
        if not here.any():
            continue
        count, said = int(here.sum()), float(stated[here].mean())
        off = 100 * float(abs(true[here].mean() - said))
        band = DOUBT * 100 * math.sqrt(said * (1.0 - said) / count)
        words = f"stated {100 * said:.1f}, true {100 * true[here].mean():.1f}"
        note = f"{words}, {count} causes, chance ± {band:.1f}"
        name = f"off at {10 * tenth} to {10 * tenth + 10} %"
        rows[name] = Figure(off, "points", CALIBRATED, note, judged=band <= OFF)
        if tenth:
            off_all, count_all = off_all + count * off, count_all + count
    name, note = "off on the whole", f"{count_all} causes stated at 10 % or more"
    return rows | {name: Figure(off_all / max(count_all, 1), "points", CALIBRATED, note)}


def _against_sampling(some: list[Found], rng: np.random.Generator) -> dict[str, Figure]:
    """The posterior beside a long walk over the same evidence: both should say the same."""
    off, ceilings = [], []
    for one in some:
        net, found = one.net, one.posterior
        states = sampled(net, rng)
        off.append(float(np.abs(states.mean(axis=0) - found.p).max()))
        three = np.argsort(-states.mean(axis=0))[:3]
        by_walk = float(states[:, three].any(axis=1).mean())
        ceilings.append((by_walk, ceiling(net, found, noticed=False).one))
    walked, stated = (100 * float(column.mean()) for column in np.array(ceilings).T)
    note = f"a true cause in three: by the walk {walked:.1f} %, by the posterior {stated:.1f} %"
    mean = Figure(100 * float(np.mean(off)), "points", "<= 2", f"{len(some)} faults; {note}")
    worst = "the largest of all causes and faults"
    return {
        "off from a walk through all sets": mean,
        "off from it at the worst": Figure(100 * max(off), "points", None, worst),
    }
