"""Issuing an invoice with all its rules, warm, and its rules against bare Saxon."""

from __future__ import annotations

from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from repairs.measures.harness import (
    Cost,
    Figure,
    MeasureError,
    Plan,
    Say,
    command,
    facts,
    free_cores,
    in_turns,
    ratio,
    run,
    start,
)

ONE_FREE = 0.9
TIMES, QUICK_TIMES = 25, 2
AT_ONCE, QUICK_AT_ONCE = 8, 2
EACH = 3  # and a first one, in each process


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Issue invoices and run the bare rules in turns, in processes of their own."""
    times = QUICK_TIMES if plan.rounds == 1 else TIMES
    free = free_cores()
    with TemporaryDirectory(prefix="measure-invoices-") as name:
        folder = Path(name)
        say("issuing a first invoice")
        run(command("issue_once", folder, 1), folder)
        lines = {
            "issue": command("issue_once", folder, times),
            "rules": command("rules_floor", folder, times),
        }
        costs = in_turns(lines, folder, plan.rounds, say)
        processes = QUICK_AT_ONCE if plan.rounds == 1 else AT_ONCE
        say(f"issuing from {processes} processes at once")
        numbers = _at_once(processes, folder)
    issued = facts(costs["issue"], "median_s")
    checked = facts(costs["issue"], "check_median_s")
    bare = facts(costs["rules"], "median_s")
    return {
        "issue_with_full_validation_warm": _seconds(median(issued), free),
        "einvoice_written_and_checked_warm": _seconds(median(checked), free),
        "einvoice_checked_to_bare_rules": Figure(ratio(checked, bare), "× time", "<= 2"),
        "bare_rules": Figure(median(bare), "s"),
        "issue_first_of_a_process": Figure(median(facts(costs["issue"], "first_s")), "s"),
        "at_once_issued": Figure(numbers.fact("issued"), f"by {processes} processes and before"),
        "at_once_gaps": Figure(numbers.fact("gaps"), "numbers", "<= 0"),
        "at_once_twins": Figure(numbers.fact("twins"), "numbers", "<= 0"),
        "at_once_out_of_order": Figure(numbers.fact("out_of_order"), "numbers", "<= 0"),
    }


def _seconds(value: float, free: float) -> Figure:
    """Seconds on the wall say something of us only where a core is ours."""
    judged = free >= ONE_FREE
    note = "" if judged else f"not judged: only {free:.1f} cores were free"
    return Figure(value, "s", "<= 0.5", note=note, judged=judged)


def _at_once(processes: int, folder: Path) -> Cost:
    """Let so many processes issue in one house, then look at all its numbers."""
    line = command("issue_once", folder, EACH)
    children = [start(line, folder) for _ in range(processes)]
    for child in children:
        _out, complaint = child.communicate()
        if child.returncode:
            last = (complaint.strip().splitlines() or ["it said nothing"])[-1]
            raise MeasureError(f"{line[2]} failed: {last}")
    return run(command("count_numbers"), folder)
