"""The order in which hands go: leave first, then what can be undone, then what cannot.

Nothing is cut, struck or re-pinned before it is clean and has come to its air, and before what can
be undone was tried (ECCO Code 2003, art. 8 and 9; common practice of the bench).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from enum import IntEnum

from repairs.readings.sheets.base import Advice


class Stage(IntEnum):
    """When a line is done. ``SAID`` is no act; ``AFTER`` follows a lasting act by its nature."""

    SAID = 0
    LEAVE = 1
    FIRST = 2
    UNDOABLE = 3
    LASTING = 4
    AFTER = 5


# By the whole code, else by the longest beginning. What is in neither is told by its own flag.
STAGES: Mapping[str, Stage] = {
    "hint.": Stage.SAID,
    "action.first_fail": Stage.SAID,
    "action.open_fails": Stage.SAID,
    "action.all": Stage.SAID,
    "action.consent": Stage.LEAVE,
    "card.consent": Stage.LEAVE,
    "action.": Stage.UNDOABLE,
    "action.repin_": Stage.LASTING,
    "action.thin.": Stage.LASTING,
    "action.lower.nut": Stage.LASTING,
    "action.lower.bridge": Stage.LASTING,
    "action.lower.wall": Stage.LASTING,
    "action.lower.shank": Stage.LASTING,
    "action.ease.": Stage.LASTING,
    "action.free.key": Stage.LASTING,
    "action.clean.key": Stage.FIRST,
    "try.": Stage.UNDOABLE,
    "try.wipe": Stage.FIRST,
    "try.try_paper": Stage.FIRST,
    "try.chalk_print": Stage.FIRST,
    "try.lower_slot": Stage.LASTING,
    "try.paper_under_foot": Stage.FIRST,
    "try.scrape_": Stage.LASTING,
    "try.thin_foot": Stage.LASTING,
    "try.ease_slot": Stage.LASTING,
    "strings.": Stage.UNDOABLE,
    "bow.": Stage.SAID,
    "bow.wipe": Stage.FIRST,
    "bow.rosin": Stage.FIRST,
    "bow.thinner_cotton": Stage.UNDOABLE,
    "bow.more_cotton": Stage.UNDOABLE,
    "bow.raise_string": Stage.UNDOABLE,
    "bow.lower_string": Stage.UNDOABLE,
    "keys.": Stage.UNDOABLE,
    "keys.conflict": Stage.SAID,
    "keys.re_pin": Stage.LASTING,
    "wheel.": Stage.SAID,
    "wheel.consent": Stage.LEAVE,
    "wheel.cut": Stage.LASTING,
    "wheel.shift": Stage.UNDOABLE,
    "wheel.step.": Stage.UNDOABLE,
    "wheel.step.clean_rim_and_rosin_again": Stage.FIRST,
    "wheel.step.acclimatise": Stage.FIRST,
    "wheel.step.record_profile_as_found": Stage.FIRST,
    "wheel.step.consent_to_turning": Stage.LEAVE,
    "wheel.step.measure_again": Stage.AFTER,
    "wheel.step.turn_rim": Stage.LASTING,
    "wheel.step.polish_rim": Stage.AFTER,
    "wheel.step.rosin_rim": Stage.AFTER,
    "wheel.step.set_every_pressure_again": Stage.AFTER,
    "crack.": Stage.SAID,
    "crack.bring_to_target_and_measure_again": Stage.FIRST,
    "crack.glue": Stage.LASTING,
    "crack.splint": Stage.LASTING,
    "cleats.": Stage.SAID,
    "climate.": Stage.SAID,
}


def stage_of(line: Advice) -> Stage:
    """The stage of a line; one that no table has is told by whether it can be undone."""
    if line.code in STAGES:
        return STAGES[line.code]
    begun = [start for start in STAGES if start[-1] in "._" and line.code.startswith(start)]
    stage = STAGES[max(begun, key=len)] if begun else Stage.UNDOABLE
    return Stage.LASTING if line.irreversible else stage


def in_order(lines: Sequence[Advice], leave: str) -> list[Advice]:
    """The lines by their stage, else as they came; ``leave`` is the line that asks for leave.

    It stands before every act where one of them cannot be undone; such a line is marked so.
    """
    staged = [
        replace(line, irreversible=True) if stage_of(line) == Stage.LASTING else line
        for line in lines
    ]
    if any(line.irreversible for line in staged):
        staged.append(Advice(leave))
    return sorted(staged, key=stage_of)
