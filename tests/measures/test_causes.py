"""The measure of the search for causes runs, and says what it is held against."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from repairs.causes.tables import table_of
from repairs.gauges.causes.net import Case, build
from repairs.gauges.causes.posterior import posterior
from repairs.measures import causes, causes_sampled
from repairs.measures.causes_ceiling import Ceiling
from repairs.measures.causes_drawn import SHEETS, Bench, fault, found_at
from repairs.measures.harness import QUICK

KIND = "vielle_french"


def test_a_few_faults_are_drawn_found_and_counted(monkeypatch):
    monkeypatch.setattr(causes, "QUICK_FAULTS", 12)
    monkeypatch.setattr(causes_sampled, "SWEEPS", 70)

    figures = causes.measure(QUICK, lambda words: None)

    assert figures["faults"].value == 12
    assert 0 <= figures["left out until settled"].value < 70
    for bench in causes.WHAT:
        first, two = (
            figures[f"{what}, {bench}"] for what in ("true cause first", "two, both in three")
        )
        assert "the exact posterior reaches" in first.note and "chance ±" in two.note
        assert first.value >= 50  # of twelve; the thousand are drawn by the command
        assert 0 < figures[f"Brier, {bench}"].value < 3
        assert figures[f"off on the whole, {bench}"].goal == "<= 5"
        tenths = [f for name, f in figures.items()
                  if name.startswith("off at") and name.endswith(f", {bench}")]  # fmt: skip
        assert len(tenths) >= 4 and all(figure.goal == "<= 5" for figure in tenths)
    settled = [figures[f"{name}, {causes.SETTLED}"].goal for name in causes.GOALS]
    assert settled == [">= 85", ">= 97", ">= 90"]
    assert figures["off from a walk through all sets"].value < 4


def test_goals_stand_on_the_bench_of_a_workshop_and_others_are_held_against_the_ceiling():
    row = _row(stated=(0.9, 0.5, 0.1), true=(1.0, 0.0, 0.0), ceiling=(0.9, 0.95, 0.6))
    double = _row(stated=(0.9, 0.5, 0.1), true=(1.0, 1.0, 0.0), ceiling=(0.9, 0.95, 0.6))
    hidden = _row(stated=(0.9, 0.5, 0.1), true=(0.0, 1.0, 1.0), is_noticed=False)

    early = causes._figures([row] * 380 + [double] * 20 + [hidden] * 4, causes.BLIND)
    settled = causes._figures([row] * 380 + [double] * 20 + [hidden] * 4, causes.SETTLED)

    ceiling = (400 * 0.9 + 4 * 0.8) / 404
    chance = 2 * math.sqrt((400 * 0.09 + 4 * 0.16) / 404 / 404)
    assert early["true cause first"].goal == f">= {100 * (ceiling - chance):.1f}"
    assert early["true cause first"].value == pytest.approx(100 * 400 / 404)
    assert settled["true cause first"].value == 100 and settled["true cause first"].goal == ">= 85"
    assert settled["true cause first, all drawn"].value == pytest.approx(100 * 400 / 404)


def test_a_tenth_is_judged_where_chance_keeps_within_the_goal():
    rows = causes._reliability(np.full((500, 1), 0.95), np.ones((500, 1)))
    few = causes._reliability(np.full((20, 1), 0.55), np.ones((20, 1)))

    assert (
        rows["off at 90 to 100 %"].value == pytest.approx(5)
        and "± 1.9" in rows["off at 90 to 100 %"].note
    )
    assert rows["off at 90 to 100 %"].judged and not few["off at 50 to 60 %"].judged
    assert few["off at 50 to 60 %"].met is None and few["off on the whole"].met is False


def _row(
    stated: tuple[float, ...], true: tuple[float, ...],
    ceiling: tuple[float, ...] = (0.8, 0.9, 0.6),
    *, is_noticed: bool = True,
) -> causes._Row:  # fmt: skip
    return causes._Row(np.array(stated), np.array(true), Ceiling(*ceiling), is_noticed, 20.0)


def test_a_fault_is_looked_for_as_long_as_looks_minutes_and_sheets_last():
    table, rng = table_of(KIND), np.random.default_rng(3)
    one = fault(table, rng)
    benches = (Bench("brief", 40, 1.0), Bench("three", 3, 90.0), Bench("hour", 40, 60.0))

    brief, three, hour = found_at(benches, table, one, rng)

    assert brief.minutes <= 1 and three.looks <= 3 and hour.minutes <= 60
    assert brief.looks <= three.looks <= hour.looks and three.minutes <= hour.minutes
    read = {table.figures[key].gauge for key in hour.net.figures}
    assert len(read) <= SHEETS
    assert not any(key.startswith("paper_") for key in hour.net.figures)


def test_what_is_there_is_what_the_causes_make_and_what_is_put_away_makes_nothing():
    table = table_of(KIND)
    rng = np.random.default_rng(8)
    drawn = [fault(table, rng) for _number in range(40)]

    for one in drawn:
        made = one.unlisted.union(*one.made)
        assert one.case.heard == made & (one.case.heard | one.case.denied)
        assert one.is_noticed == all(one.made)
        everybody = frozenset(cause.key for cause in one.there)
        for symptom in made:
            assert one.makes(symptom)
            assert one.makes(symptom, everybody) == (symptom in one.unlisted)
    assert {one.is_noticed for one in drawn} == {True, False}


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
