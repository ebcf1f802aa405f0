"""The measure of the search for causes runs, and says what it is held against."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from repairs.causes.tables import table_of
from repairs.gauges.causes.net import Case, build
from repairs.gauges.causes.posterior import posterior
from repairs.measures import causes, causes_sampled
from repairs.measures.causes_drawn import SHEETS, Bench, fault, found_at
from repairs.measures.harness import QUICK

KIND = "vielle_french"


def test_a_few_faults_are_drawn_found_and_counted(monkeypatch):
    monkeypatch.setattr(causes, "QUICK_FAULTS", 12)
    monkeypatch.setattr(causes_sampled, "SWEEPS", 70)

    figures = causes.measure(QUICK, lambda words: None)

    assert figures["faults"].value == 12
    for bench in causes.BENCHES:
        first = figures[f"true cause first, {bench.name}"]
        assert first.goal == ">= 85" and first.note.startswith("the exact posterior reaches")
        assert first.value >= 50  # of twelve; the thousand are drawn by the command
        assert figures[f"two, both in three, {bench.name}"].goal == ">= 90"
        assert 0 < figures[f"Brier, {bench.name}"].value < 3
        tenths = [f for name, f in figures.items()
                  if name.startswith("off at") and name.endswith(f", {bench.name}")]  # fmt: skip
        assert len(tenths) >= 5 and all(figure.goal == "<= 5" for figure in tenths)
    assert figures["off from a walk through all sets"].value < 4


def test_a_fault_is_looked_for_as_long_as_looks_minutes_and_sheets_last(monkeypatch):
    table, rng = table_of(KIND), np.random.default_rng(3)
    done = []

    def kept(table, case):
        done.append(case)
        return build(table, case)

    monkeypatch.setattr("repairs.measures.causes_drawn.build", kept)
    for bench in (Bench("three", 3, 90.0), Bench("hour", 40, 60.0), Bench("brief", 40, 1.0)):
        done.clear()
        found_at(bench, table, fault(table, rng), rng)
        looked, read = done[-1].looked, done[-1].values
        sheets = {table.figures[one.figure].gauge for one in read}
        spent = sum(table.cause(key).minutes for key in looked)
        spent += sum(table.looks[gauge] for gauge in sheets)
        assert len(sheets) <= SHEETS and len(looked) + len(sheets) <= bench.looks
        assert spent <= bench.minutes
        assert not any(one.figure.startswith("paper_") for one in read)


@pytest.mark.parametrize("heard", ["dog_silent", "swells_once"])
def test_a_long_walk_through_all_sets_says_what_the_posterior_says(monkeypatch, heard):
    table = table_of(KIND)
    monkeypatch.setattr(causes_sampled, "SWEEPS", 130)
    keys = {one.key for one in table.causes if heard in one.symptoms}
    small = replace(table, causes=tuple(one for one in table.causes if one.key in keys))
    net = build(small, Case(heard=frozenset({heard})))
    found = posterior(net, complaint=True)

    states = causes_sampled.sampled(net, np.random.default_rng(5))

    assert states.any(axis=1).all()
    assert np.abs(states.mean(axis=0) - found.p).max() < 0.03
