"""What the keyboard's gauge proposes: one line for a tangent, in the order of the hands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.language.text import rounded
from repairs.readings.sheets.base import Advice, Plain, Text
from repairs.readings.sheets.keyboard_cells import FAMILY_NAMES, NAMES, named

# What the last digit shows; nothing below it is asked for.
LEAST_MM = 0.005
WHOLE_DEG = 2.0  # a turn from here on is said in whole degrees
EXPLAINED: Mapping[str, Text] = {
    "right": _("nothing wrong"),
    "nut": _("nut"),
    "bridge": _("bridge"),
    "bridge_and_nut": _("bridge and nut"),
    "pressed": _("press of the finger"),
    "nut_and_pressed": _("nut and press"),
    "bridge_and_pressed": _("bridge and press"),
    "bridge_nut_and_pressed": _("bridge, nut and press"),
    "offset": _("open string"),
    "bridge_and_offset": _("bridge and open string"),
    "offset_and_pressed": _("open string and press"),
    "bridge_offset_and_pressed": _("bridge, open string and press"),
}
TOLD_PCT = 1.0


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """First what comes before every tangent, then key by key; nothing while that waits."""
    found = out["as_found"]
    if found and found["waits"] == "open_string":
        return [_step(step) for step in out["first"] if step["code"] == "read_open_string"]
    if not found and any(step["code"] == "read_open_string" for step in out["first"]):
        return [_step(step) for step in out["first"]]
    # Bridge, nut and press would be counted from a scale that the keyboard is not laid out for.
    if found and found["waits"] == "temperament":
        best = found["candidates"][0]
        details = {"name": best["name"], "pct": round(best["pct"]), "moves": found["moves"]}
        return [Advice("keys.as_found", details=details)]
    return _ends(out) + [line for key in out["keys"] for line in _key(key, out["strings"])]


def _step(step: Mapping[str, Any]) -> Advice:
    return Advice(f"keys.{step['code']}", step["string"], step["amount"], step["u"], step["unit"])


def _ends(out: Plain) -> list[Advice]:
    """Press, bridge and nut. A piece under two strings is one line, or one an end where askew."""
    shared = {one["code"]: one for one in out["shared"]}
    lines = []
    for step in out["first"]:
        both = shared.get(step["code"])
        if both is None:
            lines.append(_step(step))
        elif both["is_skew"] or step["string"] == both["strings"][0]:
            lines.append(_shared(step, both))
    return [line for line in lines if line.unit != "mm" or abs(line.amount or 0.0) >= LEAST_MM]


def _shared(step: Mapping[str, Any], both: Mapping[str, Any]) -> Advice:
    """What one end of the piece is moved by; the other end is named, and how much they differ."""
    first, second = both["strings"]
    is_first = step["string"] == first
    details: dict[str, Any] = {"other": second if is_first else first}
    amount, u = both["amount"], both["u"]
    if both["is_skew"]:
        amount, u = step["amount"], step["u"]
        details["skew"] = round(both["skew_mm"] if is_first else -both["skew_mm"], 2)
    return Advice(f"keys.{step['code']}", step["string"], amount, u, "mm", details=details)


def _key(key: Mapping[str, Any], strings: Sequence[Mapping[str, Any]]) -> list[Advice]:
    """The tangents of a key, its shim, and what is left."""
    lines = [
        _tangent(key["key"], act, _line(strings, act["string"], key["key"]))
        for act in key["acts"]
        if act["verb"] != "leave"
    ]
    number = str(key["key"])
    if abs(key["shim_mm"]) >= LEAST_MM:
        lines.append(Advice("keys.shim", number, key["shim_mm"], None, "mm"))
    if key["serves"]:
        is_pitch = key["short_cents"] > 0.0
        amount = key["short_cents" if is_pitch else "short_mm"]
        unit = "cents" if is_pitch else "mm"
        lines.append(Advice(f"keys.{key['serves']}", number, amount, None, unit))
    return [line for line in lines if line.unit != "mm" or abs(line.amount or 0.0) >= LEAST_MM]


def _line(strings: Sequence[Mapping[str, Any]], name: str, key: int) -> Mapping[str, Any]:
    mine = next(string for string in strings if string["name"] == name)
    after = "_after" if mine["basis"] == "after_scale" else ""
    line = next(line for line in mine["keys"] if line["key"] == key)
    return {"u": line[f"u_move{after}_mm"], "move": line[f"move{after}_mm"]}


def _turned(turn_deg: float) -> float:
    """To the digit in which it is said."""
    return round(turn_deg, 0 if abs(turn_deg) >= WHOLE_DEG else 1)


def _tangent(key: int, act: Mapping[str, Any], line: Mapping[str, Any]) -> Advice:
    turn = act["turn"] or {}
    turned = _turned(turn["turn_deg"]) if turn else None
    bend = act["bend_mm"] if abs(act["bend_mm"]) >= LEAST_MM else 0.0
    details: dict[str, Any] = {
        "turn": turned,
        "cents": round(act["off_cents"], 1),
        "bend": round(bend, 2),
    }
    left = round(act["off_after_cents"], 1)
    if left and act["verb"] != "measure_again":
        details["left"] = left
    amount, u = act["along_mm"], line["u"]
    if act["verb"] == "bend":
        amount, u = act["bend_mm"], None
    if act["verb"] == "measure_again":
        amount = line["move"]
    code = f"keys.{act['verb']}"
    return Advice(code, f"{act['string']}, {key}", amount, u, "mm", details=details)


def warnings(out: Plain) -> list[Text]:
    """Which explanation the keys speak for, and which temperament: by their likelihood."""
    said: list[Text] = []
    found = out.get("as_found")
    is_other = found is not None and found["waits"] == "temperament"
    for string in [] if is_other else out["strings"]:
        fit = string.get("fit") or {}
        weights = fit.get("weights_pct") or {}
        if weights and fit["explanation"] != "right":
            said.append(
                _("%(string)s, what the keys speak for: %(told)s.")
                % {"string": named(string["name"]), "told": _weights(weights)}
            )
    if found:
        told = {one["name"]: one["pct"] for one in reversed(found["candidates"])}
        names = {**NAMES, **FAMILY_NAMES}
        words = [
            f"{names.get(name, gettext('the scale that was pasted'))} {rounded(pct, 0)}\u00a0%"
            for name, pct in sorted(told.items(), key=lambda pair: -pair[1])
            if pct >= TOLD_PCT
        ]
        said.append(_("Temperament as found: %(told)s.") % {"told": ", ".join(words)})
    return said


def _weights(weights: Mapping[str, float]) -> str:
    ordered = sorted(weights.items(), key=lambda pair: -pair[1])
    return ", ".join(
        f"{EXPLAINED[name]} {rounded(pct, 0)}\u00a0%" for name, pct in ordered if pct >= TOLD_PCT
    )
