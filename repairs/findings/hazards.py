"""Hazards of a stay: what was ticked while looking over, and what stands against the instrument."""

from __future__ import annotations

from repairs.cases.models import Case
from repairs.findings.look_models import Examination
from repairs.instruments.hazards import in_order


def hazards_of(case: Case, look: Examination | None) -> list[str]:
    """Keys of the hazards that a paper of this stay names, in the order of the vocabulary.

    All that stands against the instrument, whether or not it was ticked in this stay; and what
    was ticked and never came to stand there. What was ticked and has been lifted since is left
    out: the reason stands with the instrument.
    """
    rows = list(case.instrument.hazard_history)
    standing = [row.key for row in rows if row.lifted is None]
    ever = {row.key for row in rows}
    own = [key for key in (look.hazards if look else []) if key not in ever]
    return in_order({*standing, *own})
