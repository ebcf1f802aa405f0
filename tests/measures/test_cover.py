"""The tables of cover run, count what they draw, and judge what they promise."""

from __future__ import annotations

import numpy as np

from repairs.measures import cover, cover_wheel
from repairs.measures.harness import QUICK


def test_every_table_is_measured_under_names_of_its_own():
    names = [table.__name__ for table in cover.TABLES]

    assert len(names) == len(set(names))
    assert {"covered", "cuts"} <= set(names)


def test_eight_places_are_answered_too_few_and_others_are_covered():
    chance = np.random.default_rng(1)

    assert cover_wheel.cover_of(cover_wheel.Cell(8, 0.005, 0.0, 5, 0.02), 4, chance) is None
    shares = cover_wheel.cover_of(cover_wheel.Cell(24, 0.005, 0.02, 5, 0.01), 40, chance)
    assert shares is not None
    assert min(shares) >= 80


def test_the_grid_holds_what_the_issue_asks_for():
    cells = list(cover_wheel.cells())

    assert {cell.count for cell in cells} >= {8, 12, 24, 72}
    assert {cell.order for cell in cells} == {2, 3, 5}
    assert len({cell.name for cell in cells}) == len(cells) == 7 * 5 * 9
    assert QUICK.rounds == 1  # what a quick round is told by


def test_a_cut_table_counts_good_and_bad_wheels(monkeypatch):
    monkeypatch.setattr(cover_wheel, "BAD", ((24, 0.005),))

    figures = cover_wheel.cuts(1, lambda _words: None)

    assert figures["good_wheels_cut_of_100"].value == 0
    assert figures["bad_wheels_found_24places_s5"].goal == ">= 95"
