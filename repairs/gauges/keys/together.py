"""All keys of a keyboard solved: each with the tangents of both its strings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from repairs.gauges.base.plain import optional
from repairs.gauges.base.registry import Plain
from repairs.gauges.base.verdict import Limit
from repairs.gauges.keys.acts import Found
from repairs.gauges.keys.correction import ChanterCorrection, ChanterReading, KeyCorrection
from repairs.gauges.keys.joint import U_GAP_MM, Act, KeyAnswer, answer, one_piece
from repairs.gauges.keys.keyboard import to_bridge_mm
from repairs.gauges.keys.typed import Keys, per_key

MOST_ROOM_MM = 10.0


def answer_keys(
    given: Plain,
    keys: Keys,
    readings: Sequence[ChanterReading],
    done: Sequence[ChanterCorrection],
    fixed: Sequence[int],
    house: Mapping[str, Limit],
) -> list[KeyAnswer]:
    """Return one answer for each key that was read, in the order of the keys.

    Strings go together two by two, in their order: a key has one tangent for each.
    """
    rooms = per_key(given, "room_mm", len(keys), (0.0, MOST_ROOM_MM), "room")
    u_gap = optional(given, "u_gap_mm", U_GAP_MM, (0.0, 5.0))
    answers = []
    for first in range(0, len(done), 2):
        both = list(zip(readings, done, strict=True))[first : first + 2]
        for place, (key, _wanted) in enumerate(keys):
            found = [_found(reading, one, key, place) for reading, one in both]
            pair = [one for one in found if one is not None]
            if pair and key in fixed and len(pair) == 2:
                answers.append(one_piece(key, pair, house, u_gap))
            elif pair:
                answers.append(answer(key, pair, house, rooms[place], u_gap))
    return answers


def _found(reading: ChanterReading, one: ChanterCorrection, key: int, place: int) -> Found | None:
    line = next((line for line in one.keys if line.key == key), None)
    if line is None:
        return None
    after = one.basis == "after_scale"
    off = line.off_after_cents if after else line.off_cents
    verdict = line.verdict_after if after else line.verdict
    return Found(
        one.name,
        off,
        verdict.u or 0.0,
        verdict.word,
        verdict.limit or Limit(None, None, "cents"),
        to_bridge_mm(reading.length_mm, line.wanted_cents + off),
        reading.flags[place],
        reading.gaps_mm[place],
    )


def act_on(answers: Sequence[KeyAnswer], string: str, line: KeyCorrection) -> Act | None:
    """What the answers have for one tangent."""
    for one in answers:
        if one.key == line.key:
            for act in one.acts:
                if act.string == string:
                    return act
    return None


def told(line: dict[str, Any], act: Act | None, *, waits: bool) -> dict[str, Any]:
    """The plain line of a key with the act of the joint answer in the place of its own."""
    turn = line.pop("turn") or {}
    if act is not None and act.turn is not None:
        turn = {
            "turn_deg": act.turn.turn_deg,
            "u_turn_deg": act.turn.u_turn_deg,
            "lateral_mm": act.turn.lateral_mm,
            "u_lateral_mm": act.turn.u_lateral_mm,
        }
    for name in ("turn_deg", "u_turn_deg", "lateral_mm", "u_lateral_mm"):
        line[name] = turn.get(name)
    line["along_mm"] = act.along_mm if act else 0.0
    line["bend_mm"] = act.bend_mm if act else 0.0
    if act is not None:
        line["action"] = act.verb
    if waits and line["action"] != "leave":
        line["action"] = "wait"
    return line
