"""Issuing an invoice with all its rules, warm, and its rules against bare Saxon."""

from __future__ import annotations

from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from repairs.measures.harness import Figure, Plan, Say, command, facts, in_turns, ratio, run

TIMES, QUICK_TIMES = 25, 2


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Issue invoices and run the bare rules in turns, in processes of their own."""
    times = QUICK_TIMES if plan.rounds == 1 else TIMES
    with TemporaryDirectory(prefix="measure-invoices-") as name:
        folder = Path(name)
        say("issuing a first invoice")
        run(command("issue_once", folder, 1), folder)
        lines = {
            "issue": command("issue_once", folder, times),
            "rules": command("rules_floor", folder, times),
        }
        costs = in_turns(lines, folder, plan.rounds, say)
    issued = facts(costs["issue"], "median_s")
    checked = facts(costs["issue"], "check_median_s")
    bare = facts(costs["rules"], "median_s")
    return {
        "issue_with_full_validation_warm": Figure(median(issued), "s", "<= 0.5"),
        "einvoice_written_and_checked_warm": Figure(median(checked), "s", "<= 0.5"),
        "einvoice_checked_to_bare_rules": Figure(ratio(checked, bare), "× time", "<= 2"),
        "bare_rules": Figure(median(bare), "s"),
        "issue_first_of_a_process": Figure(median(facts(costs["issue"], "first_s")), "s"),
    }
