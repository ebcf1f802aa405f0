"""The table of a finishing check, read into its two views: every figure with its key named."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from repairs.gauges.action.changes import Flag
from repairs.gauges.action.plan import Check, Plan
from repairs.gauges.action.side import Lid, Side, Wall, Wheel
from repairs.gauges.action.tables import MOST_KEYS, check_rising, each, names_of, one_each
from repairs.gauges.base.arrays import np
from repairs.gauges.base.given import absent, choice, only, rows
from repairs.gauges.base.plain import maybe, needed, optional
from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit, Verdict, Word, judge

VERSION = "action_sheet 1"

# Assumed where nothing is typed (common practice): gaps read to 0.1 mm, so 0.1/√12; a height
# gauge on a rounded body; a steady hand; an amplitude judged by eye.
U_GAP_MM, U_HEIGHT_MM, U_PRESS_MM, U_AMPLITUDE_MM, U_SPACING_MM = 0.03, 0.1, 0.2, 0.2, 0.1
U_PLAY_MM = 0.02
PRESS_MM, AMPLITUDE_MM, DIAMETER_MM = 1.0, 0.5, 0.8
HEIGHT_ENDS_MM, SMALL_ENDS_MM = (-100.0, 300.0), (0.0, 20.0)
LENGTH_ENDS_MM = (100.0, 1000.0)
RETURNS: dict[str, Word] = {"free": "inside", "slow": "doubtful", "sticks": "outside"}
# Keys have no spring: the instrument is held tilted and they fall back by their own weight.
FREE_RETURN = Limit(None, None, "", COMMON_PRACTICE + ": a key drops by its own weight")

INPUTS = {
    "length_mm": "speaking length from nut to bridge, mm",
    "strings": "list of one or two chanterelles, the one met first by the key's touch first: "
    "nut_height_mm, bridge_height_mm of their undersides; optional: diameter_mm, amplitude_mm of "
    "the open string in its middle",
    "keys": "list of keys from the nut: key (number), at_mm and gap_mm of each tangent (list, or "
    "one number); optional: flag_low_mm, flag_high_mm, offset_mm, turn_deg of each; thickness_mm, "
    "shank_height_mm, travel_mm, side_play_mm, returns (free, slow, sticks)",
    "spacing_nut_mm": "optional: between the middles of both strings at the nut, mm",
    "spacing_bridge_mm": "optional: the same at the bridge, mm",
    "press_mm": "optional: how far a key bends the string it meets last, mm",
    "walls": "optional: list of walls that the strings pass: name, at_mm, height_mm",
    "lid": "optional: underside of the closed lid: from_mm, to_mm, height_mm",
    "wheel": "optional: from_bridge_mm, rim_height_mm; optional: thickness_mm, edge_drop_mm",
    "u_gap_mm": "optional: standard uncertainty of gaps, mm",
    "u_height_mm": "optional: standard uncertainty of heights, mm",
    "u_press_mm": "optional: standard uncertainty of press_mm, mm",
    "u_amplitude_mm": "optional: standard uncertainty of amplitudes, mm",
    "u_spacing_mm": "optional: standard uncertainty of the spacing, mm",
    "limits": "optional: house limits by name",
}
_STRING = ("nut_height_mm", "bridge_height_mm", "diameter_mm", "amplitude_mm")
_KEY = (
    "key",
    "at_mm",
    "gap_mm",
    "flag_low_mm",
    "flag_high_mm",
    "offset_mm",
    "turn_deg",
    "thickness_mm",
    "shank_height_mm",
    "travel_mm",
    "side_play_mm",
    "returns",
)


@dataclass(frozen=True)
class Sheet:
    """Both views of one keybox, what is known of each key by itself, and of each flag."""

    plan: Plan
    side: Side
    keys: tuple[Check, ...]
    flags: Mapping[tuple[int, int], Flag]


def read_sheet(data: Mapping[str, Any], held_to: Mapping[str, Limit]) -> Sheet:
    """Return the sheet that plain data hold.

    Raises GaugeInputError naming the input and the row (of ``keys``, ``strings`` or ``walls``,
    counted from 1): no number, an impossible size, keys not in rising order, an unknown name.
    """
    length = needed(data, "length_mm", LENGTH_ENDS_MM)
    strings = [_string(one, row) for row, one in enumerate(_list(data, "strings", 1, 2), 1)]
    given = _list(data, "keys", 1, MOST_KEYS)
    for row, key in enumerate(given, 1):
        only(key, _KEY, field="keys", row=row)
    count = len(strings)
    names = names_of(given)
    at = each(given, "at_mm", count, (0.1, length - 0.1))
    check_rising(at)
    diameter = np.array([s["diameter_mm"] for s in strings])
    plan = Plan(
        length_mm=length,
        keys=names,
        at_mm=at,
        gap_mm=each(given, "gap_mm", count, (-5.0, 20.0)),
        back_mm=one_each(given, "thickness_mm", SMALL_ENDS_MM),
        travel_mm=one_each(given, "travel_mm", SMALL_ENDS_MM),
        diameter_mm=diameter,
        spacing_mm=_spacing(data),
        amplitude_mm=np.array([s["amplitude_mm"] for s in strings]),
        press_mm=optional(data, "press_mm", PRESS_MM, (0.0, 5.0)),
        u_gap_mm=optional(data, "u_gap_mm", U_GAP_MM, (0.0, 5.0)),
        u_press_mm=optional(data, "u_press_mm", U_PRESS_MM, (0.0, 5.0)),
        u_amplitude_mm=optional(data, "u_amplitude_mm", U_AMPLITUDE_MM, (0.0, 5.0)),
        u_spacing_mm=optional(data, "u_spacing_mm", U_SPACING_MM, (0.0, 5.0)),
    )
    side = Side(
        length_mm=length,
        keys=names,
        at_mm=at,
        diameter_mm=diameter,
        nut_mm=tuple(s["nut_height_mm"] for s in strings),
        bridge_mm=tuple(s["bridge_height_mm"] for s in strings),
        flag_low_mm=each(given, "flag_low_mm", count, HEIGHT_ENDS_MM, needed_here=False),
        flag_high_mm=each(given, "flag_high_mm", count, HEIGHT_ENDS_MM, needed_here=False),
        shank_mm=one_each(given, "shank_height_mm", HEIGHT_ENDS_MM),
        walls=tuple(
            _wall(wall, row, length) for row, wall in enumerate(_list(data, "walls", 0, 6), 1)
        ),
        lid=_lid(data, length),
        wheel=_wheel(data, length),
        u_height_mm=optional(data, "u_height_mm", U_HEIGHT_MM, (0.0, 5.0)),
    )
    return Sheet(plan, side, tuple(_key_checks(given, names, held_to)), _flags(given, plan, side))


def _list(data: Mapping[str, Any], name: str, least: int, most: int) -> Sequence[Any]:
    return rows(
        name, [] if absent(data, name) and not least else data.get(name), least=least, most=most
    )


def _string(given: Any, row: int) -> dict[str, float]:
    only(given, _STRING, field="strings", row=row)
    return {
        "nut_height_mm": needed(given, "nut_height_mm", HEIGHT_ENDS_MM, row=row),
        "bridge_height_mm": needed(given, "bridge_height_mm", HEIGHT_ENDS_MM, row=row),
        "diameter_mm": optional(given, "diameter_mm", DIAMETER_MM, (0.1, 5.0), row=row),
        "amplitude_mm": optional(given, "amplitude_mm", AMPLITUDE_MM, (0.0, 5.0), row=row),
    }


def _spacing(data: Mapping[str, Any]) -> tuple[float, float]:
    """Spacing at nut and bridge; one of them stands for both, none is NaN."""
    nut = maybe(data, "spacing_nut_mm", (1.0, 100.0))
    bridge = maybe(data, "spacing_bridge_mm", (1.0, 100.0))
    first = nut if nut is not None else bridge
    last = bridge if bridge is not None else nut
    return (math.nan if first is None else first, math.nan if last is None else last)


def _wall(given: Any, row: int, length: float) -> Wall:
    only(given, ("name", "at_mm", "height_mm"), field="walls", row=row)
    at = needed(given, "at_mm", (0.0, length), row=row)
    height = needed(given, "height_mm", HEIGHT_ENDS_MM, row=row)
    return Wall(str(given.get("name") or row), at, height)


def _lid(data: Mapping[str, Any], length: float) -> Lid | None:
    if absent(data, "lid"):
        return None
    given = data["lid"]
    only(given, ("from_mm", "to_mm", "height_mm"), field="lid")
    first = needed(given, "from_mm", (0.0, length))
    last = needed(given, "to_mm", (first, length))
    return Lid(first, last, needed(given, "height_mm", HEIGHT_ENDS_MM))


def _wheel(data: Mapping[str, Any], length: float) -> Wheel | None:
    if absent(data, "wheel"):
        return None
    given = data["wheel"]
    names = ("from_bridge_mm", "rim_height_mm", "thickness_mm", "edge_drop_mm")
    only(given, names, field="wheel")
    return Wheel(
        needed(given, "from_bridge_mm", (1.0, length / 2.0)),
        needed(given, "rim_height_mm", HEIGHT_ENDS_MM),
        optional(given, "thickness_mm", math.nan, (1.0, 40.0)),
        optional(given, "edge_drop_mm", math.nan, (0.0, 5.0)),
    )


def _key_checks(
    given: Sequence[Mapping[str, Any]], names: tuple[int, ...], held_to: Mapping[str, Limit]
) -> list[Check]:
    """Free return as noted, and the play of the shank in its walls. A slow key is a doubt."""
    found = []
    for row, (key, name) in enumerate(zip(given, names, strict=True), 1):
        play = maybe(key, "side_play_mm", (0.0, 5.0), row=row)
        if play is not None:
            verdict = judge(play, U_PLAY_MM, held_to["side_play_mm"])
            found.append(Check("side_play", name, name, None, verdict, stops=False))
        if not absent(key, "returns"):
            word = RETURNS[choice("returns", key["returns"], RETURNS, row=row)]
            noted = Verdict(math.nan, None, FREE_RETURN, word)
            found.append(Check("returns", name, name, None, noted))
    return found


def _flags(
    given: Sequence[Mapping[str, Any]], plan: Plan, side: Side
) -> dict[tuple[int, int], Flag]:
    strings = len(plan.at_mm)
    offset = each(given, "offset_mm", strings, SMALL_ENDS_MM, needed_here=False)
    turn = each(given, "turn_deg", strings, (-60.0, 60.0), needed_here=False)
    found = {}
    for s in range(strings):
        for k, key in enumerate(plan.keys):
            room = float(side.flag_high_mm[s, k] - side.flag_low_mm[s, k] - plan.diameter_mm[s])
            found[(s + 1, key)] = Flag(
                float(plan.gap_mm[s, k]),
                float(offset[s, k]) if math.isfinite(offset[s, k]) else None,
                float(turn[s, k]) if math.isfinite(turn[s, k]) else 0.0,
                room if math.isfinite(room) else None,
                plan.length_mm - float(plan.at_mm[s, k]),
            )
    return found
