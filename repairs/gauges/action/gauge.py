"""The finishing check: up to which note can it be played, what stops the next, what to change.

Two views of the keybox, ``action_plan`` from above and ``action_side`` from the side; this module
reads the figures of a table, joins both views, and finds the first key that fails.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from repairs.gauges.action.advice import advise
from repairs.gauges.action.changes import Flag, Prescription
from repairs.gauges.action.plan import Check, Kind, Plan, plan_checks
from repairs.gauges.action.sheet import INPUTS, read_sheet
from repairs.gauges.action.side import Line, Side, lines, side_checks
from repairs.gauges.base.given import limits, only
from repairs.gauges.base.plain import plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit, Word

VERSION = "action 2"

_TOUCH = "geometry: it must not touch"
DEFAULT_LIMITS: dict[str, Limit] = {
    "rest_gap_mm": Limit(1.0, 2.0, "mm", COMMON_PRACTICE),
    # Being pushed 0.2 mm further sharpens a gut string by about 0.4 cents (E·A·ΔL/L, 0.8 mm).
    "together_mm": Limit(-0.2, 0.2, "mm", COMMON_PRACTICE + " (both at once; figure of the house)"),
    "clear_own_mm": Limit(0.0, None, "mm", _TOUCH),
    "clear_other_mm": Limit(0.0, None, "mm", _TOUCH),
    "reach_mm": Limit(0.0, None, "mm", "geometry: the key must go far enough"),
    "flag_mm": Limit(0.0, None, "mm", "geometry: the whole string on the flag"),
    "shank_mm": Limit(0.0, None, "mm", _TOUCH),
    "wall_mm": Limit(0.0, None, "mm", _TOUCH),
    "lid_mm": Limit(0.0, None, "mm", _TOUCH),
    "wheel_edge_mm": Limit(0.0, None, "mm", _TOUCH),
    "side_play_mm": Limit(0.1, 0.3, "mm", COMMON_PRACTICE),
}


@dataclass(frozen=True)
class NoteVerdict:
    """One note: the worst word among what stops it, and the kinds of check that gave it."""

    note: int
    word: Word
    because: tuple[Kind, ...]


@dataclass(frozen=True)
class Action:
    """The finishing check. Notes are key numbers, 0 the open string.

    ``first_fail`` and ``first_doubt`` are the first checks, by note, that are outside or doubtful.
    ``playable_up_to``: the last note before the first that fails; None when the open string
    already fails or nothing could be judged. ``surely_up_to`` stops at the first doubt as well.
    ``not_judged`` names the checks for which figures are missing.
    """

    playable_up_to: int | None
    surely_up_to: int | None
    first_fail: Check | None
    first_doubt: Check | None
    notes: tuple[NoteVerdict, ...]
    checks: tuple[Check, ...]
    prescriptions: tuple[Prescription, ...]
    lines: tuple[Line, ...]
    not_judged: tuple[Kind, ...]


def finishing_check(
    plan: Plan,
    side: Side,
    keys: Sequence[Check] = (),
    *,
    flags: Mapping[tuple[int, int], Flag],
    held_to: Mapping[str, Limit] | None = None,
) -> Action:
    """Return the finishing check of both views; ``keys`` are checks of the keys by themselves.

    ``plan`` and ``side`` hold the same keys, in rising order towards the bridge. ``flags`` by
    (string, key) are what is known of the tangents for the prescriptions.
    """
    chosen = dict(held_to or DEFAULT_LIMITS)
    in_plan = [*plan_checks(plan, chosen), *keys]
    in_side = side_checks(side, chosen)
    checks = sorted([*in_plan, *(s.check for s in in_side)], key=_order)
    stopping = [c for c in checks if c.stops and c.verdict.word != "not_judged"]
    fail = next((c for c in stopping if c.verdict.word == "outside"), None)
    doubt = next((c for c in stopping if c.verdict.word == "doubtful"), None)
    not_sure = [c.note for c in (fail, doubt) if c is not None]
    return Action(
        _up_to(plan.keys, [fail.note] if fail else [], bool(stopping)),
        _up_to(plan.keys, not_sure, bool(stopping)),
        fail,
        doubt,
        tuple(_note(n, stopping) for n in (0, *plan.keys)),
        tuple(checks),
        advise(in_plan, in_side, flags),
        lines(side),
        _missing(checks, len(plan.at_mm)),
    )


def _order(check: Check) -> tuple[int, int, int, str]:
    worst = {"outside": 0, "doubtful": 1}.get(check.verdict.word, 2)
    return check.note, worst, check.key or 0, check.kind


def _up_to(keys: tuple[int, ...], stops: list[int], judged: bool) -> int | None:
    if not judged:
        return None
    notes = (0, *keys)
    if not stops:
        return notes[-1]
    place = notes.index(min(stops))
    return notes[place - 1] if place else None


def _note(note: int, stopping: list[Check]) -> NoteVerdict:
    mine = [c for c in stopping if c.note == note]
    for word in ("outside", "doubtful"):
        because = tuple(dict.fromkeys(c.kind for c in mine if c.verdict.word == word))
        if because:
            return NoteVerdict(note, word, because)
    return NoteVerdict(note, "inside" if mine else "not_judged", ())


def _missing(checks: Sequence[Check], strings: int) -> tuple[Kind, ...]:
    wanted: list[Kind] = ["clear_own", "reach", "flag_low", "flag_high", "shank", "wall", "lid"]
    wanted += ["wheel_edge", "returns", "side_play"]
    wanted += ["together", "clear_other"] if strings > 1 else []
    judged = {c.kind for c in checks if c.verdict.word != "not_judged"}
    return tuple(kind for kind in wanted if kind not in judged)


_SAYS = "Up to which note the keybox can be played, and what to change for the next."


def _run(data: Plain) -> dict[str, Any]:
    only(data, INPUTS)
    held_to = limits(data, DEFAULT_LIMITS)
    sheet = read_sheet(data, held_to)
    found = finishing_check(sheet.plan, sheet.side, sheet.keys, flags=sheet.flags, held_to=held_to)
    return plain(found)


register(Gauge("action", VERSION, _SAYS, INPUTS, _run))
