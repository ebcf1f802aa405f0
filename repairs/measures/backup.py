"""A backup against the floor: copying and hashing the same bytes, in the same run."""

from __future__ import annotations

from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from repairs.measures.harness import (
    Figure,
    Plan,
    Say,
    command,
    facts,
    in_turns,
    ratio,
    run,
)


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Lay out a store, back it up whole and again unchanged, and copy it with hashes, in turns."""
    with TemporaryDirectory(prefix="measure-backup-") as name:
        folder = Path(name)
        data, disk = folder / "data", folder / "disk"
        data.mkdir()
        say(f"laying out a house of {plan.store_mb} MB")
        laid = run(command("backup_once", "lay", disk, plan.store_mb), data)
        ways = ("whole", "floor", "again")
        lines = {way: command("backup_once", way, disk) for way in ways}
        costs = in_turns(lines, data, plan.rounds, say)
    spent = {way: facts(costs[way], "work_s") for way in lines}
    store = f"{laid.fact('files'):.0f} files, {laid.fact('bytes') / 1e6:.0f} MB"
    return {
        "whole_to_floor": Figure(ratio(spent["whole"], spent["floor"]), "× CPU", "<= 1.3", store),
        "unchanged_to_floor": Figure(ratio(spent["again"], spent["floor"]), "× CPU", "<= 0.05"),
        "whole_s": Figure(median(spent["whole"]), "s of CPU"),
        "floor_s": Figure(median(spent["floor"]), "s of CPU"),
        "unchanged_s": Figure(median(spent["again"]), "s of CPU"),
        "files": Figure(laid.fact("files"), "files"),
    }
