"""The gauge “correction”: reads what a tuner showed string by string, answers in plain data."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Literal

from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, limits, only, rows
from repairs.gauges.base.plain import plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import Limit, judge
from repairs.gauges.keys.conflicts import conflicts
from repairs.gauges.keys.correction import (
    DEFAULT_LIMITS,
    VERSION,
    ChanterCorrection,
    ChanterReading,
    Flag,
    correct,
)
from repairs.gauges.keys.keyboard import (
    SCALE_INPUTS,
    U_LENGTH_MM,
    read_length,
    read_u,
    wanted_cents,
)

READINGS = ("above_open", "off_wanted", "off_equal")
BASES = ("as_stands", "after_scale")
MOST_OFF_CENTS = 200.0
MOST_STRINGS = 6
U_CENTS = 0.5

Keys = Sequence[tuple[int, float]]

STRING_INPUTS = {
    "name": "name of the string, optional",
    "measured_cents": "one value per key, the other strings off the wheel; empty if not measured",
    "open_cents": "what the tuner showed of the open string, cents, optional",
    "length_mm": "speaking length of this string, mm, optional",
    "offset_mm": "offset of the flag from its pin, mm, optional: one value, or one per key",
    "turn_deg": "present turn of the flag from pointing at the string, optional (0): as offset_mm",
    "gap_mm": "gap from tangent to string at rest, mm, optional: one value, or one per key",
}
INPUTS = {
    "length_mm": "speaking length from nut to bridge, mm",
    **SCALE_INPUTS,
    "reading": f"what the cents are: one of {', '.join(READINGS)}, optional (above_open)",
    "strings": f"list of strings, each with {', '.join(STRING_INPUTS)}",
    **{
        name: f"{says}; for a single string, instead of strings"
        for name, says in STRING_INPUTS.items()
        if name not in ("name", "length_mm")
    },
    "both_cents": "one value per key with all strings on the wheel, optional",
    "fixed_double": "true, or the list of keys whose tangents are one piece, optional",
    "basis": f"one of {', '.join(BASES)}, optional: after_scale when the scale is surely wrong",
    "u_cents": "standard uncertainty of one reading, cents, optional (0.5)",
    "u_open_cents": "the same of the open string's reading, optional (as u_cents)",
    "u_length_mm": "standard uncertainty of the length, mm, optional (0.5)",
    "u_offset_mm": "standard uncertainty of the flag's offset, mm, optional (0.1)",
    "most_turn_deg": "turn beyond which a flag no longer meets the string, optional (45)",
    "limits": "own limits by name, optional",
}


def run_correction(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: see ``ChanterCorrection`` and ``Conflict``.

    ``differ`` compares the strings with one another, ``both`` the pitch with all strings on the
    wheel with the mean of the strings alone, and ``first`` lists what comes before the tangents.
    """
    only(given, INPUTS)
    house = limits(given, DEFAULT_LIMITS)
    keys, scale = wanted_cents(given)
    basis = None if absent(given, "basis") else choice("basis", given["basis"], BASES)
    readings = _readings(given, keys)
    done = [correct(keys, one, basis, house) for one in readings]
    fixed = _fixed(given, keys)
    return {
        "temperament": scale.name,
        "description": scale.description,
        "length_mm": readings[0].length_mm,
        "strings": [_plain(one) for one in done],
        "first": [step for one in done for step in _first(one)],
        "conflicts": [plain(one) for one in conflicts(readings, done, keys, fixed, house)],
        "differ": _differ(done, house["differ_cents"]),
        "both": _both(given, keys, readings, done, house["both_cents"]),
    }


def _readings(given: Plain, keys: Keys) -> list[ChanterReading]:
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
    return ChanterReading(
        name=name,
        length_mm=length,
        measured_cents=_cents(string, keys, kind, base, name),
        flags=_flags(given, string, len(keys), name),
        gaps_mm=_per_key(string, "gap_mm", len(keys), (-1.0, 20.0), name),
        open_cents=base,
        u_cents=u_cents,
        u_open_cents=u_open,
        u_length_mm=read_u(given, "u_length_mm", U_LENGTH_MM, 20.0),
    )


def _cents(
    string: Mapping[str, Any], keys: Keys, kind: str, base: float, name: str
) -> list[float | None]:
    """What was typed of each key, as cents above the open string."""
    field = f"measured_cents ({name})"
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
    if not any(one is not None for one in cents):
        raise GaugeInputError("too_few", field=field, value=0, limit=1)
    return cents


def _flags(given: Plain, string: Mapping[str, Any], count: int, name: str) -> list[Flag | None]:
    offsets = _per_key(string, "offset_mm", count, (0.0, 10.0), name)
    turns = _per_key(string, "turn_deg", count, (-80.0, 80.0), name)
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


def _per_key(
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


def _fixed(given: Plain, keys: Keys) -> list[int]:
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


def _plain(one: ChanterCorrection) -> dict[str, Any]:
    answer = plain(one)
    if one.fit is not None:
        fit = answer["fit"]
        del fit["fitted_cents"], fit["u_fitted_cents"]
        fit["set_aside"] = [one.keys[i].key for i in one.fit.set_aside]
    for line in answer["keys"]:
        turn = line.pop("turn") or {}
        for name in ("turn_deg", "u_turn_deg", "lateral_mm", "u_lateral_mm"):
            line[name] = turn.get(name)
    return answer


FirstStep = Literal["move_bridge", "move_nut", "read_open_string"]


def _first(one: ChanterCorrection) -> list[dict[str, Any]]:
    """What to set before any tangent, when the scale as a whole is what is wrong."""
    fit = one.fit
    if fit is None or one.basis != "after_scale":
        return []
    steps: list[dict[str, Any]] = []
    if fit.bridge_mm is not None:
        steps.append(_step(one, "move_bridge", -fit.bridge_mm, fit.u_bridge_mm, "mm"))
    if fit.nut_mm is not None:
        steps.append(_step(one, "move_nut", -fit.nut_mm, fit.u_nut_mm, "mm"))
    if "offset" in fit.explanation:
        steps.append(_step(one, "read_open_string", -fit.offset_cents, fit.u_offset_cents, "cents"))
    return steps


def _step(
    one: ChanterCorrection, code: FirstStep, amount: float, u: float | None, unit: str
) -> dict[str, Any]:
    return {"string": one.name, "code": code, "amount": amount, "u": u, "unit": unit}


def _differ(done: Sequence[ChanterCorrection], limit: Limit) -> list[dict[str, Any]]:
    """Sharpest less flattest string on each key that at least two strings were read on."""
    found = []
    for key in sorted({line.key for one in done for line in one.keys}):
        lines = [line for one in done for line in one.keys if line.key == key]
        if len(lines) < 2:
            continue
        first, last = lines[0], max(lines[1:], key=lambda k: abs(k.off_cents - lines[0].off_cents))
        apart = first.off_cents - last.off_cents
        u = math.hypot(first.u_off_cents, last.u_off_cents)
        verdict = plain(judge(apart, u, limit))
        found.append({"key": key, "differ_cents": apart, "u_differ_cents": u, "verdict": verdict})
    return found


def _both(
    given: Plain,
    keys: Keys,
    readings: Sequence[ChanterReading],
    done: Sequence[ChanterCorrection],
    limit: Limit,
) -> list[dict[str, Any]]:
    """How the note moves when all strings are on the wheel, against their mean alone."""
    if absent(given, "both_cents"):
        return []
    kind = given.get("reading") or "above_open"
    string = {"measured_cents": given["both_cents"]}
    together = _cents(string, keys, kind, 0.0, "both")
    found = []
    for (key, _), cents in zip(keys, together, strict=True):
        alone = [
            line.measured_cents + reading.open_cents
            for reading, one in zip(readings, done, strict=True)
            for line in one.keys
            if line.key == key
        ]
        if cents is None or not alone:
            continue
        more = cents - sum(alone) / len(alone)
        u = readings[0].u_cents * math.sqrt(1.0 + 1.0 / len(alone))
        verdict = plain(judge(more, u, limit))
        found.append({"key": key, "both_less_alone_cents": more, "u_cents": u, "verdict": verdict})
    return found


CORRECTION = register(
    Gauge(
        "correction",
        VERSION,
        "What to do to each tangent from measured cents, after bridge and nut are seen to.",
        INPUTS,
        run_correction,
    )
)
