"""The gauge “correction”: reads what a tuner showed string by string, answers in plain data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Literal

from repairs.gauges.base.given import absent, choice, limits, only
from repairs.gauges.base.plain import plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import Limit, judge
from repairs.gauges.keys.conflicts import conflicts
from repairs.gauges.keys.correction import (
    DEFAULT_LIMITS,
    VERSION,
    ChanterCorrection,
    ChanterReading,
    correct,
)
from repairs.gauges.keys.joint import KeyAnswer
from repairs.gauges.keys.keyboard import (
    SCALE_INPUTS,
    STRING_LAW,
)
from repairs.gauges.keys.skew import shared_ends
from repairs.gauges.keys.tempered import AS_FOUND, asks_open, read_tempered
from repairs.gauges.keys.together import act_on, answer_keys, told
from repairs.gauges.keys.typed import READINGS, STRING_INPUTS, Keys, cents_of, fixed_of

BASES = ("as_stands", "after_scale")


INPUTS = {
    "length_mm": "speaking length from nut to bridge, mm",
    **SCALE_INPUTS,
    "temperament": f"{SCALE_INPUTS['temperament']}; or {AS_FOUND}: the likeliest of them",
    "reading": f"what the cents are: one of {', '.join(READINGS)}, optional (above_open)",
    "strings": f"list of strings, each with {', '.join(STRING_INPUTS)}",
    **{
        name: f"{says}; for a single string, instead of strings"
        for name, says in STRING_INPUTS.items()
        if name not in ("name", "length_mm")
    },
    **{
        name: f"{says}; for what pressing adds, optional"
        for name, says in STRING_LAW.items()
        if "optional" not in says
    },
    **{name: says for name, says in STRING_LAW.items() if "optional" in says},
    "retemper": "true to move the keyboard from another temperament to this one, optional (false)",
    "room_mm": "gap at rest that the swinging string wants, mm, optional: one, or one per key",
    "u_gap_mm": "standard uncertainty of a gap, mm, optional (0.05)",
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
    tempered = read_tempered(given)
    keys, scale, readings = tempered.keys, tempered.scale, tempered.readings
    basis = None if absent(given, "basis") else choice("basis", given["basis"], BASES)
    done = [correct(keys, one, basis, house) for one in readings]
    fixed = fixed_of(given, keys)
    waits = tempered.waits(done, house)
    answers = answer_keys(given, keys, readings, done, fixed, house)
    first = [step for one, at in zip(done, readings, strict=True) for step in _first(one, at)]
    return {
        "temperament": scale.name,
        "description": scale.description,
        "length_mm": readings[0].length_mm,
        "as_found": tempered.plain(done, house),
        "strings": [_plain(one, answers, waits=bool(waits)) for one in done],
        "keys": [] if waits else [plain(one) for one in answers],
        "first": first,
        "shared": [plain(one) for one in shared_ends(first)],
        "conflicts": [plain(one) for one in conflicts(readings, done, keys, fixed, house)],
        "differ": _differ(done, house["differ_cents"]),
        "both": _both(given, keys, readings, done, house["both_cents"]),
    }


def _plain(one: ChanterCorrection, answers: Sequence[KeyAnswer], *, waits: bool) -> dict[str, Any]:
    answer = plain(one)
    if one.fit is not None:
        fit = answer["fit"]
        del fit["fitted_cents"], fit["u_fitted_cents"]
        fit["set_aside"] = [one.keys[i].key for i in one.fit.set_aside]
    for kept, line in zip(one.keys, answer["keys"], strict=True):
        told(line, act_on(answers, one.name, kept), waits=waits)
    return answer


FirstStep = Literal["move_bridge", "move_nut", "read_open_string", "press_lighter"]


def _first(one: ChanterCorrection, reading: ChanterReading) -> list[dict[str, Any]]:
    """What to set before any tangent, when the scale as a whole is what is wrong.

    While the open string is unread and all keys stand off alike, nothing else is said.
    """
    fit = one.fit
    if asks_open(one, reading):
        mean = sum(line.off_cents for line in one.keys) / len(one.keys)
        u: float | None = reading.u_cents / math.sqrt(len(one.keys))
        if fit is not None:
            mean, u = fit.offset_cents, fit.u_offset_cents
        return [_step(one, "read_open_string", -mean, u, "cents")]
    if fit is None or one.basis != "after_scale":
        return []
    steps: list[dict[str, Any]] = []
    if fit.pressed_cents is not None:
        steps.append(_step(one, "press_lighter", fit.pressed_cents, fit.u_pressed_cents, "cents"))
    if fit.bridge_mm is not None:
        steps.append(_step(one, "move_bridge", -fit.bridge_mm, fit.u_bridge_mm, "mm"))
    if fit.nut_mm is not None:
        steps.append(_step(one, "move_nut", -fit.nut_mm, fit.u_nut_mm, "mm"))
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
    together = cents_of(string, keys, kind, 0.0, "both")
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
