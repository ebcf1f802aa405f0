"""A small simulator of faults, of its own: it shares no code with the network, only its table.

Causes are drawn by their prior (children after their parents), at least one; symptoms by the
table’s P and leak, in the groups that somebody would ask about; up to three sheets are read, those
that the symptoms point to; findings and history come with their causes more often than without, by
the odds of the table.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from typing import Any

from repairs.gauges.causes.net import Case, Past, Value

SHEETS = 3
SEEN, TOLD = 0.03, 0.03  # how often a finding, a word of the history, comes without its cause


@dataclass(frozen=True)
class Fault:
    """A case with its truth."""

    truth: frozenset[str]
    case: Case


def faults(
    table: dict[str, Any],
    count: int,
    seed: int,
    *,
    causes: int = 0,
    sheets: int = SHEETS,
    known: bool = False,
) -> list[Fault]:
    """Draw faults; with ``causes``, only those with so many true causes.

    ``known``: the sheets that bear on the true causes come first, as when somebody guessed right,
    and each true cause is heard by its first symptom or more.
    """
    rng = random.Random(seed)  # noqa: S311 - invented faults, no secret
    drawn: list[Fault] = []
    while len(drawn) < count:
        truth = _truth(table, rng)
        if truth and (not causes or len(truth) == causes):
            fault = _fault(table, truth, rng, sheets, known)
            if fault.case.heard and not (known and _unheard(table, fault)):
                drawn.append(fault)
    return drawn


def _truth(table: dict[str, Any], rng: random.Random) -> frozenset[str]:
    given = table["model"]["given"]
    parents = [row for row in table["causes"] if row["key"] in given]
    children = [row for row in table["causes"] if row["key"] not in given]
    true: set[str] = set()
    for row in [*parents, *children]:
        p = row["prior_pct"] / 100
        odds = p / (1 - p)
        for parent in true & set(given):
            odds *= given[parent].get(row["key"], 1)
        if rng.random() < odds / (1 + odds):
            true.add(row["key"])
    return frozenset(true)


def _unheard(table: dict[str, Any], fault: Fault) -> bool:
    rows = [row for row in table["causes"] if row["key"] in fault.truth]
    return any(not fault.case.heard & set(row["symptoms"]) for row in rows)


def _fault(
    table: dict[str, Any], truth: frozenset[str], rng: random.Random, sheets: int, known: bool
) -> Fault:
    rows = [row for row in table["causes"] if row["key"] in truth]
    read = {}
    for figure in table["figures"]:
        read[figure["key"]] = _figure(figure, rows, rng)
    heard, denied = _symptoms(table, rows, rng)
    kept = _sheets(table, heard, sheets, rows if known else [])
    values = [Value(f["key"], read[f["key"]]) for f in table["figures"] if f["gauge"] in kept]
    findings, past = _seen(table, truth, rng)
    return Fault(truth, Case(heard, denied, tuple(values), findings, past, {}))


def _symptoms(
    table: dict[str, Any], rows: list[dict[str, Any]], rng: random.Random
) -> tuple[frozenset[str], frozenset[str]]:
    heard, asked = set(), set()
    for symptom in table["symptoms"]:
        silent = 1 - table["model"]["leak"]
        for row in rows:
            silent *= 1 - row["symptoms"].get(symptom["key"], 0)
        if rng.random() >= silent:
            heard.add(symptom["key"])
    groups = {s["group"] for s in table["symptoms"] if s["key"] in heard}
    asked = {s["key"] for s in table["symptoms"] if s["group"] in groups or rng.random() < 0.3}
    return frozenset(heard), frozenset(asked - heard)


def _sheets(
    table: dict[str, Any], heard: frozenset[str], most: int, first: list[dict[str, Any]]
) -> set[str]:
    """The sheets that the symptoms point to: by prior, P, and whether a figure bears on it."""
    gauge_of = {figure["key"]: figure["gauge"] for figure in table["figures"]}
    worth: dict[str, float] = {gauge_of[key]: 1e6 for row in first for key in row["readings"]}
    for row in table["causes"]:
        points = sum(row["symptoms"].get(symptom, 0) for symptom in heard) * row["prior_pct"]
        for gauge in {gauge_of[key] for key in row["readings"]}:
            worth[gauge] = worth.get(gauge, 0) + points
    best = sorted((g for g in worth if worth[g] > 0), key=lambda g: -worth[g])
    return set(best[:most])


def _figure(figure: dict[str, Any], rows: list[dict[str, Any]], rng: random.Random) -> Any:
    """Healthy, or as one of the causes would have it that bear on the figure."""
    specs = [row["readings"][figure["key"]] for row in rows if figure["key"] in row["readings"]]
    return drawn(rng.choice(specs) if specs else figure["healthy"], rng)


def drawn(spec: list[Any], rng: random.Random) -> Any:
    """One value of a distribution."""
    kind, *ends = spec
    if kind == "mixture":
        return drawn(rng.choices([s for _, s in ends], [w for w, _ in ends])[0], rng)
    if kind == "words":
        return rng.choices(list(ends[0]), list(ends[0].values()))[0]
    return {
        "rayleigh": lambda: ends[0] * math.hypot(rng.gauss(0, 1), rng.gauss(0, 1)),
        "normal": lambda: rng.gauss(*ends),
        "lognormal": lambda: ends[0] * math.exp(rng.gauss(0, ends[1])),
        "logeven": lambda: math.exp(rng.uniform(math.log(ends[0]), math.log(ends[1]))),
        "even": lambda: rng.uniform(*ends),
    }[kind]()


def _seen(
    table: dict[str, Any], truth: frozenset[str], rng: random.Random
) -> tuple[frozenset[str], tuple[Past, ...]]:
    """Things seen and told: each with a base rate, times the odds of the truest of its causes."""
    seen: dict[tuple[str, tuple[str, ...]], float] = {}
    told: dict[tuple[str, float | None], float] = {}
    for row in table["causes"]:
        there = row["key"] in truth
        for one in row["findings"][:1]:
            name = (one["term"], tuple(one.get("parts", ())))
            seen[name] = max(seen.get(name, 1), one["times"] if there else 1)
        for one in row["history"][:1]:
            event = (one["what"], one.get("under_days", one.get("over_days")))
            told[event] = max(told.get(event, 1), one["times"] if there else 1)
    findings: set[str] = set()
    for (term, parts), times in seen.items():
        if rng.random() < SEEN * times:
            findings |= {term, *(f"{term}@{part}" for part in parts[:1])}
    past = tuple(Past(*event) for event, times in told.items() if rng.random() < TOLD * times)
    return frozenset(findings), past
