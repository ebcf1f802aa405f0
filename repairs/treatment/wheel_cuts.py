"""The cuts of a rim on record: by the steps of the work, and by how much a cut was followed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from repairs.instruments.models import Instrument
from repairs.people.models import User
from repairs.treatment.models import Intervention, StepNote
from repairs.treatment.outcome_models import MoveDone

# The step of a procedure under which a rim is turned.
CUT_PROCEDURE, CUT_STEP = "wheel_truing", "turn"


@dataclass(frozen=True)
class Cut:
    """One cut on record: when, by whom, how deep where that was noted, in which work."""

    at: dt.datetime
    by: User
    depth_mm: float | None
    work: Intervention


def cuts_of(instrument: Instrument) -> list[Cut]:
    """The cuts on record over all stays, in the order of time; one a work."""
    moves = MoveDone.objects.filter(
        intervention__case__instrument=instrument, prescription__code="wheel.cut"
    ).select_related("by", "intervention__case")
    notes = StepNote.objects.filter(
        intervention__case__instrument=instrument,
        intervention__version__key=CUT_PROCEDURE,
        step=CUT_STEP,
    ).select_related("by", "intervention__case")
    found: dict[int, Cut] = {}
    for note in notes:
        found.pop(note.intervention_id, None)  # the last note for a step is the one that counts
        if note.state in (StepNote.State.DONE, StepNote.State.OTHERWISE):
            found[note.intervention_id] = Cut(note.at, note.by, None, note.intervention)
    for move in moves:
        was = found.pop(move.intervention_id, None)
        if move.amount:
            at = was.at if was else move.at
            depth = abs(move.amount)
            found[move.intervention_id] = Cut(at, move.by, depth, move.intervention)
    return sorted(found.values(), key=lambda cut: cut.at)
