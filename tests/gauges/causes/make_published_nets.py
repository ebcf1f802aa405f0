"""Writes published_nets.json: small nets with the posteriors that pgmpy 1.1 computes for them.

Run with a Python that has pgmpy (it is no part of the house): python make_published_nets.py. Each
net has at most 12 causes; every symptom is a full table of the noisy-OR with leak, every child a
table on its parent; answers come from exact elimination of variables.
"""

from __future__ import annotations

import itertools
import json
import random
from pathlib import Path
from typing import Any

from pgmpy.factors.discrete import TabularCPD  # type: ignore[import-not-found]
from pgmpy.inference import VariableElimination  # type: ignore[import-not-found]
from pgmpy.models import DiscreteBayesianNetwork  # type: ignore[import-not-found]

LEAK = 0.012


def net(seed: int, causes: int, symptoms: int) -> dict[str, Any]:
    """A net drawn at random, with a parent of two children, and what was heard and denied."""
    rng = random.Random(seed)  # noqa: S311 - invented nets, no secret
    names = [f"c{i}" for i in range(causes)]
    table = {
        s: {c: round(rng.uniform(0.1, 0.9), 2) for c in names if rng.random() < 0.45}
        for s in (f"s{i}" for i in range(symptoms))
    }
    told = {s: rng.random() < 0.55 for s in table if rng.random() < 0.8}
    return {
        "priors": {c: round(rng.uniform(0.01, 0.12), 3) for c in names},
        "symptoms": table,
        "given": {"c0": {"c1": 2.5, "c2": 3.0}},
        "heard": sorted(s for s, there in told.items() if there),
        "denied": sorted(s for s, there in told.items() if not there),
    }


def posterior(one: dict[str, Any]) -> dict[str, float]:
    """P of each cause by pgmpy."""
    model = _model(one)
    told = dict.fromkeys(one["heard"], 1) | dict.fromkeys(one["denied"], 0)
    engine = VariableElimination(model)
    return {
        cause: float(engine.query([cause], evidence=told, show_progress=False).values[1])
        for cause in one["priors"]
    }


def _model(one: dict[str, Any]) -> Any:
    parents = {child: p for p, children in one["given"].items() for child in children}
    edges = [(p, child) for child, p in parents.items()]
    edges += [(c, s) for s, row in one["symptoms"].items() for c in row]
    model = DiscreteBayesianNetwork(edges)
    model.add_nodes_from([*one["priors"], *one["symptoms"]])
    for cause, p in one["priors"].items():
        if cause in parents:
            odds = p / (1 - p) * one["given"][parents[cause]][cause]
            raised = odds / (1 + odds)
            rows = [[1 - p, 1 - raised], [p, raised]]
            model.add_cpds(TabularCPD(cause, 2, rows, [parents[cause]], [2]))
        else:
            model.add_cpds(TabularCPD(cause, 2, [[1 - p], [p]]))
    for symptom, row in one["symptoms"].items():
        silent = _silent(list(row.values()))
        rows = [silent, [1 - q for q in silent]]
        model.add_cpds(TabularCPD(symptom, 2, rows, list(row), [2] * len(row)))
    return model


def _silent(shares: list[float]) -> list[float]:
    """P(silent) for every set of the causes of a symptom, the last cause changing fastest."""
    found = []
    for there in itertools.product([0, 1], repeat=len(shares)):
        quiet = 1 - LEAK
        for on, p in zip(there, shares, strict=True):
            quiet *= 1 - p if on else 1
        found.append(quiet)
    return found


def main() -> None:
    """Draw, compute and write."""
    nets = [net(seed, causes, 5) for seed, causes in enumerate((5, 6, 8, 9, 10, 11, 12, 12))]
    rows = [{**one, "posterior": posterior(one)} for one in nets]
    said = {"source": "pgmpy 1.1.2, exact elimination of variables", "leak": LEAK, "nets": rows}
    file = Path(__file__).with_name("published_nets.json")
    file.write_text(json.dumps(said, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
