"""Several processes that migrate one empty database at once."""

from __future__ import annotations

from random import Random

from repairs.measures.killed.house import Laid
from repairs.measures.killed.proof import Tally
from repairs.measures.killed.second import second_house

AT_ONCE = 3


def migrate_at_once(_laid: Laid, faults: int, _chance: Random) -> Tally:
    """All of them end well, and nothing is left to migrate."""
    tally = Tally()
    for _number in range(faults):
        with second_house() as other:
            running = [other.command("migrate", "--verbosity", "0") for _one in range(AT_ONCE)]
            for one in running:
                _out, complaint = one.communicate()
                tally.counts["kills"] += 1
                if one.returncode:
                    tally.wrong("refused", [complaint.decode().strip()[-300:]])
                else:
                    tally.counts["acknowledged"] += 1
            check = other.command("migrate", "--check")
            check.communicate()
            tally.wrong("half", ["something was left to migrate"] if check.returncode else [])
    return tally
