"""The benchmark of invoices runs: it really issues some, and the bare rules are a floor."""

from __future__ import annotations

from repairs.measures import invoices
from repairs.measures.harness import QUICK


def test_a_quick_round_gives_every_figure():
    figures = invoices.measure(QUICK, lambda words: None)

    assert figures["issue_with_full_validation_warm"].goal == "<= 0.5"
    assert figures["einvoice_written_and_checked_warm"].goal == "<= 0.5"
    issued = figures["issue_with_full_validation_warm"].value
    assert issued > figures["einvoice_written_and_checked_warm"].value > 0
    assert figures["bare_rules"].value > 0
    assert figures["at_once_issued"].value >= 8
    assert {figures[f"at_once_{fault}"].value for fault in ("gaps", "twins", "out_of_order")} == {0}
