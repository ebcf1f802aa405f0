"""The measure of the search for causes runs, and says what it is held against."""

from __future__ import annotations

from repairs.measures import causes
from repairs.measures.harness import QUICK


def test_a_few_faults_are_drawn_found_and_counted():
    figures = causes.measure(QUICK, lambda words: None)

    assert figures["faults"].value == causes.QUICK_FAULTS
    first = figures["true cause first"]
    assert first.goal == ">= 85" and first.note.startswith("the exact posterior reaches")
    assert first.value >= 60  # of thirty; the thousand are drawn by the command
    assert figures["two, both in three"].goal == ">= 90"
    assert 0 < figures["Brier"].value < 3
    tenths = [figure for name, figure in figures.items() if name.startswith("off at")]
    assert len(tenths) >= 8 and all(figure.goal == "<= 5" for figure in tenths)
