"""Probabilities of causes against another program and against every set, one by one."""

from __future__ import annotations

import dataclasses
import itertools
import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from repairs.gauges.causes.net import Case, Net, Value, build
from repairs.gauges.causes.posterior import posterior
from repairs.gauges.causes.table import Table, read_table

PUBLISHED = json.loads(Path(__file__).with_name("published_nets.json").read_text("utf-8"))


def table(one: dict[str, Any], **model: Any) -> Table:
    """A net of the file as a table of causes."""
    causes = [
        {
            "key": key, "prior_pct": 100 * p, "readings": one.get("readings", {}).get(key, {}),
            "symptoms": {s: row[key] for s, row in one["symptoms"].items() if key in row},
            "findings": [], "history": [], "minutes": 5,
        }
        for key, p in one["priors"].items()
    ]  # fmt: skip
    return read_table(
        {
            "model": {"leak": PUBLISHED["leak"], "given": one.get("given", {}),
                      "sensitivity": 0.9, "specificity": 0.95, **model},
            "symptoms": [{"key": key} for key in one["symptoms"]],
            "figures": one.get("figures", []), "causes": causes, "looks": [],
        }
    )  # fmt: skip


def told(one: dict[str, Any], *values: Value) -> Case:
    return Case(frozenset(one["heard"]), frozenset(one["denied"]), values)


@pytest.mark.parametrize("one", PUBLISHED["nets"], ids=lambda one: f"{len(one['priors'])} causes")
def test_probabilities_are_those_of_another_program(one):
    net = build(table(one), told(one))

    whole = posterior(net, complaint=False, most=12, spare=0.0)
    usual = posterior(net, complaint=False)

    for key, p, short in zip(net.keys, whole.p, usual.p, strict=True):
        assert p == pytest.approx(one["posterior"][key], abs=1e-6)
        assert short == pytest.approx(one["posterior"][key], abs=usual.left_out + 1e-4)
    assert usual.left_out < 0.05


FIGURES = [
    {"key": "a", "gauge": "g", "healthy": ["rayleigh", 0.01], "span": 1.0},
    {"key": "b", "gauge": "g", "healthy": ["normal", 1.5, 0.2], "span": 6.0},
]
READ = {
    "c0": {"a": ["logeven", 0.03, 0.3]},
    "c1": {"a": ["logeven", 0.02, 0.2], "b": ["even", 2.0, 4.0]},
    "c3": {"b": ["lognormal", 3.0, 0.2]},
}


def by_every_set(net: Net, *, complaint: bool) -> list[float]:
    """P of each cause, by adding up all 2^C sets: slow, and with nothing clever."""
    total, found = 0.0, [0.0] * len(net.keys)
    for there in itertools.product([False, True], repeat=len(net.keys)):
        on = [i for i, is_on in enumerate(there) if is_on]
        if complaint and not on:
            continue
        weight = math.exp(sum(net.log_odds[i] for i in on))
        weight *= math.exp(sum(net.boost[i, j] for i in on for j in on))
        heard = net.heard
        for h in range(len(heard.symptoms)):
            weight *= 1 - math.exp(heard.log_open + sum(heard.silent[i, h] for i in on))
        for f in range(len(net.figures)):
            bears = [net.ratio[i, f] for i in on if np.isfinite(net.ratio[i, f])]
            weight *= math.exp(max(bears)) if bears else 1.0
        total += weight
        for i in on:
            found[i] += weight
    return [one / total for one in found]


@pytest.mark.parametrize("complaint", [True, False])
@pytest.mark.parametrize("place", [0, 2, 4])
def test_readings_and_a_complaint_are_weighed_as_by_every_set(place, complaint):
    one = {**PUBLISHED["nets"][place], "figures": FIGURES, "readings": READ}
    net = build(table(one), told(one, Value("a", 0.05, 0.002), Value("b", 1.9, 0.1)))

    whole = posterior(net, complaint=complaint, most=12, spare=0.0)
    usual = posterior(net, complaint=complaint)

    wanted = by_every_set(net, complaint=complaint)
    assert whole.p.tolist() == pytest.approx(wanted, abs=1e-9)
    assert usual.p.tolist() == pytest.approx(wanted, abs=usual.left_out + 2e-3)


def test_what_is_left_out_is_stated_and_never_less_than_the_error():
    one = PUBLISHED["nets"][-1]
    net = build(table(one), dataclasses.replace(told(one), heard=frozenset(one["symptoms"])))

    wanted = by_every_set(net, complaint=False)
    for most in (2, 3, 4):
        found = posterior(net, complaint=False, most=most)
        error = np.abs(found.p - wanted).max()
        assert error <= found.left_out + 1e-3


def test_a_cause_that_nothing_bears_on_keeps_its_prior_whoever_else_is_there():
    one = {"priors": {"c0": 0.04, "c1": 0.2}, "symptoms": {"s0": {"c0": 0.9}}}
    net = build(table(one), Case(heard=frozenset({"s0"})))

    found = posterior(net, complaint=False)

    odds = 0.04 / 0.96 * (1 - 0.988 * 0.1) / 0.012
    assert found.p[1] == pytest.approx(0.2)
    assert found.p[0] == pytest.approx(odds / (1 + odds), rel=1e-6)


def test_a_second_cause_explains_a_symptom_away():
    one = {"priors": {"c0": 0.1, "c1": 0.1}, "symptoms": {"s0": {"c0": 0.9, "c1": 0.9},
           "s1": {"c1": 0.9}}}  # fmt: skip
    before = posterior(build(table(one), Case(frozenset({"s0"}))), complaint=True)
    after = posterior(build(table(one), Case(frozenset({"s0", "s1"}))), complaint=True)

    assert before.p[0] == pytest.approx(before.p[1])
    assert after.p[1] > 0.95 > 0.3 > after.p[0]
