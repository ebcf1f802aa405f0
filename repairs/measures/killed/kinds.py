"""The kinds of kills, by name."""

from __future__ import annotations

from random import Random

from repairs.measures.killed import batches, faulty, keeping, migrating, served, torn
from repairs.measures.killed.deeds import DEEDS
from repairs.measures.killed.house import Laid
from repairs.measures.killed.proof import Tally

OTHERS = {
    "darkroom": batches.kill_darkroom,
    "rules": batches.kill_rules,
    "backup": keeping.kill_backup,
    "restore": keeping.kill_restore,
    "server": served.kill_server,
    "disk": faulty.fill_disk,
    "away": faulty.take_database_away,
    "at_once": faulty.all_at_once,
    "migrating": migrating.migrate_at_once,
    "torn": torn.tear,
    "rot": torn.flip,
    "clock": faulty.turn_clock,
    "sweep": keeping.kill_sweep,
}


def kill(kind: str, laid: Laid, kills: int, chance: Random) -> Tally:
    """So many kills of that kind."""
    if kind in DEEDS:
        return batches.kill_deeds(DEEDS[kind], laid, kills, chance)
    return OTHERS[kind](laid, kills, chance)
