"""What a tuner showed, read and checked: cents above the open string, flags and gaps of keys."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from repairs.gauges.base.arrays import np
from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, only, rows
from repairs.gauges.base.registry import Plain
from repairs.gauges.keys.correction import (
    ChanterReading,
    Flag,
)
from repairs.gauges.keys.keyboard import (
    U_LENGTH_MM,
    read_length,
    read_string,
    read_u,
)
from repairs.gauges.keys.press import Press, by_law
from repairs.gauges.keys.temperament import PER_OCTAVE

READINGS = ("above_open", "off_wanted", "off_equal")


# Beyond a whole tone it is another key that was read, or the wrong column.
MOST_OFF_CENTS = 200.0


# Nearer than this to a note it is that note: half a semitone.
FAR_CENTS = 50.0


MOST_STRINGS = 6
U_CENTS = 0.5  # a strobe tuner on a bowed string that holds still (common practice)


Keys = Sequence[tuple[int, float]]


STRING_INPUTS = {
    "name": "name of the string, optional",
    "measured_cents": "one value per key, the other strings off the wheel; empty if not measured",
    "open_cents": "what the tuner showed of the open string, cents, optional",
    "length_mm": "speaking length of this string, mm, optional",
    "offset_mm": "offset of the flag from its pin, mm, optional: one value, or one per key",
    "turn_deg": "present turn of the flag from pointing at the string, optional (0): as offset_mm",
    "firm_cents": "cents with a firm press, optional; then measured_cents is with a light one",
    "gap_mm": "gap from tangent to string at rest, mm, optional: one value, or one per key",
}


def readings_of(given: Plain, keys: Keys) -> list[ChanterReading]:
    """What was measured of each string: ``strings``, or a single one given flat. Refuses both."""
    many, one = not absent(given, "strings"), not absent(given, "measured_cents")
    if many == one:
        raise GaugeInputError("needs_one", field="strings, measured_cents", value=int(many) * 2)
    if one:
        single = {name: given.get(name) for name in STRING_INPUTS if name != "length_mm"}
        return [_reading(given, single, keys, 1)]
    listed = rows("strings", given["strings"], least=1, most=MOST_STRINGS)
    return [_reading(given, string, keys, row) for row, string in enumerate(listed, 1)]


def _reading(given: Plain, string: Any, keys: Keys, row: int) -> ChanterReading:
    only(string, STRING_INPUTS, field="strings", row=row)
    name = str(string.get("name") or row)[:60]
    kind = "above_open"
    if not absent(given, "reading"):
        kind = choice("reading", given["reading"], READINGS)
    has_open = not absent(string, "open_cents")
    base = 0.0
    if has_open:
        base = between(
            f"open_cents ({name})", string["open_cents"], -MOST_OFF_CENTS, MOST_OFF_CENTS
        )
    is_read = has_open or kind == "above_open"
    length = read_length(given if absent(string, "length_mm") else string)
    u_cents = U_CENTS
    if not absent(given, "u_cents"):
        u_cents = positive("u_cents", given["u_cents"], most=50.0)
    u_open = read_u(given, "u_open_cents", u_cents, 50.0) if is_read else None
    firm = {"measured_cents": string.get("firm_cents")}
    is_firm = not absent(string, "firm_cents")
    return ChanterReading(
        name=name,
        length_mm=length,
        measured_cents=cents_of(string, keys, kind, base, name),
        firm_cents=cents_of(firm, keys, kind, base, name, "firm_cents") if is_firm else (),
        press=_law(given, length, keys),
        flags=_flags(given, string, len(keys), name),
        gaps_mm=per_key(string, "gap_mm", len(keys), (-1.0, 20.0), name),
        open_cents=base,
        u_cents=u_cents,
        u_open_cents=u_open,
        u_length_mm=read_u(given, "u_length_mm", U_LENGTH_MM, 20.0),
    )


def cents_of(
    string: Mapping[str, Any],
    keys: Keys,
    kind: str,
    base: float,
    name: str,
    says: str = "measured_cents",
) -> list[float | None]:
    """What was typed of each key, as cents above the open string."""
    field = f"{says} ({name})"
    typed = rows(field, string.get("measured_cents"), least=1, most=len(keys))
    _as_many(field, typed, len(keys))
    cents: list[float | None] = []
    for row, ((key, wanted), value) in enumerate(zip(keys, typed, strict=True), 1):
        if value is None or value == "":
            cents.append(None)
            continue
        middle = {"above_open": wanted + base, "off_wanted": 0.0, "off_equal": wanted - 100.0 * key}
        at = middle[kind]
        shown = between(field, value, at - MOST_OFF_CENTS, at + MOST_OFF_CENTS, row=row)
        cents.append(shown - at + wanted - (0.0 if kind == "above_open" else base))
    _not_swapped(field, typed, cents, keys)
    if not any(one is not None for one in cents):
        raise GaugeInputError("too_few", field=field, value=0, limit=1)
    return cents


def _not_swapped(
    field: str, typed: Sequence[Any], cents: Sequence[float | None], keys: Keys
) -> None:
    """Refuse two neighbours far off of which each would be right in the row of the other."""
    read = [place for place, one in enumerate(cents) if one is not None]
    for first, second in pairwise(read):
        here, there = cents[first] or 0.0, cents[second] or 0.0
        low, high = keys[first][1], keys[second][1]
        off = min(abs(here - low), abs(there - high))
        if off > FAR_CENTS and max(abs(here - high), abs(there - low)) < FAR_CENTS:
            raise GaugeInputError(
                "swapped", field=field, row=second + 1, value=typed[second], limit=first + 1
            )


def _law(given: Plain, length_mm: float, keys: Keys) -> Press | None:
    """The string's law, where its tension is given; what else it needs must be then, too."""
    if absent(given, "tension_n"):
        return None
    values, us = read_string(given, length_mm)
    ratios = 2.0 ** (np.array([wanted for _key, wanted in keys]) / PER_OCTAVE)
    return by_law(length_mm, ratios, values, us)


def _flags(given: Plain, string: Mapping[str, Any], count: int, name: str) -> list[Flag | None]:
    offsets = per_key(string, "offset_mm", count, (0.0, 10.0), name)
    turns = per_key(string, "turn_deg", count, (-80.0, 80.0), name)
    most = 45.0
    if not absent(given, "most_turn_deg"):
        most = between("most_turn_deg", given["most_turn_deg"], 1.0, 89.0)
    u = 0.1
    if not absent(given, "u_offset_mm"):
        u = between("u_offset_mm", given["u_offset_mm"], 0.0, 5.0)
    return [
        None if offset is None else Flag(offset, turn or 0.0, most, u)
        for offset, turn in zip(offsets, turns, strict=True)
    ]


def per_key(
    string: Mapping[str, Any], name: str, count: int, ends: tuple[float, float], of: str
) -> list[float | None]:
    """One value for all keys, or a list with one per key in which some may be empty."""
    if absent(string, name):
        return [None] * count
    value, field = string[name], f"{name} ({of})"
    if not isinstance(value, Sequence) or isinstance(value, str):
        return [between(field, value, *ends)] * count
    _as_many(field, value, count)
    return [
        None if one is None or one == "" else between(field, one, *ends, row=row)
        for row, one in enumerate(value, 1)
    ]


def _as_many(field: str, values: Sequence[Any], count: int) -> None:
    if len(values) != count:
        raise GaugeInputError("unequal", field=field, value=len(values), other="keys", limit=count)


def fixed_of(given: Plain, keys: Keys) -> list[int]:
    """The keys whose tangents are one piece; refuses a key that the keyboard does not have."""
    value = given.get("fixed_double")
    known = [key for key, _ in keys]
    if value is None or value is False or value == "":
        return []
    if value is True:
        return known
    listed = rows("fixed_double", value, least=0, most=len(known))
    for row, one in enumerate(listed, 1):
        if one not in known:
            raise GaugeInputError(
                "unknown",
                field="fixed_double",
                row=row,
                value=one,
                known=", ".join(map(str, known)),
            )
    return list(listed)
