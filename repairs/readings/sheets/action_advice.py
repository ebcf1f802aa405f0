"""What the finishing check proposes, with the side and the way of each change in its code."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from repairs.readings.sheets.base import Advice, Plain
from repairs.readings.sheets.order import in_order

LEAST_MOVE_MM = 0.005  # below it nothing is told, nor its fellow with it


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """What the gauge proposes, line by line."""
    lines = []
    if fail := out["first_fail"]:
        lines.append(
            Advice(
                "action.first_fail" if fail["note"] else "action.open_fails",
                str(fail["note"]) if fail["note"] else "",
                details={"why": fail["kind"]},
            )
        )
    elif out["playable_up_to"] is not None:
        lines.append(Advice("action.all", str(out["playable_up_to"])))
    for one in out["prescriptions"]:
        if _sticks(one):
            lines.append(_line(one, "action.clean.key", is_said_by=False))
        lines.append(_line(one, _code(one), gap=_gap_left(out.get("checks", ()), one)))
        if one["also_other_string"] and one["by_mm"] >= LEAST_MOVE_MM:
            lines.append(_line(one, "action.with_fellow.tangent", is_said_by=False))
    return in_order(lines, "action.consent")


def _gap_left(
    checks: Sequence[Mapping[str, Any]], one: Mapping[str, Any]
) -> Mapping[str, float] | None:
    """The gap at rest that a tangent brought nearer is left with, where that is less than usual."""
    change = one["gap_change_mm"]
    if one["what"] != "tangent" or change is None or change >= 0.0:
        return None
    place = ("rest_gap", one["key"], one["string"])
    for check in checks:
        limit = check["verdict"]["limit"]
        if (check["kind"], check["key"], check["string"]) != place or limit is None:
            continue
        left, least = check["verdict"]["value"] + change, limit["lower"]
        if least is not None and round(left, 2) < least:
            return {"gap_left": round(left, 2), "gap_least": least}
    return None


def _line(
    one: Mapping[str, Any],
    code: str,
    *,
    is_said_by: bool = True,
    gap: Mapping[str, float] | None = None,
) -> Advice:
    """One change as a line; an angle is said without a sign, its way stands in the sentence."""
    turn = one["turn_deg"]
    return Advice(
        code,
        str(one["key"]) if one["key"] is not None else "",
        one["by_mm"] if is_said_by else None,
        one["u_mm"] if is_said_by else None,
        "mm" if is_said_by else "",
        details={
            "why": one["because"],
            "turn": abs(turn) if turn is not None else None,
            "string": one["string"] or "",
            **(gap or {}),
        },
    )


def _code(one: Mapping[str, Any]) -> str:
    """The change with the way it goes. A wheel has two edges; the place names the one to lower."""
    if one["what"] == "wheel_edge":
        return f"action.ease.wheel_edge.{one['place']}"
    verb = "free" if _sticks(one) else one["verb"]
    if one["what"] == "tangent" and verb == "repin":
        verb = f"repin_{_way(one)}"
    elif one["what"] == "tangent" and verb == "bend":
        verb = f"bend_{_side(one)}"
    elif one["what"] == "tangent" and verb in ("turn", "ease"):
        turn = one["turn_deg"]
        end = "" if turn is None else "_to_bridge" if turn > 0 else "_to_head"
        verb = f"{_side(one)}{end}"
    return f"action.{verb}.{one['what']}"


def _sticks(one: Mapping[str, Any]) -> bool:
    """A key that does not fall back: it is cleaned before it is eased, by no figure of its own."""
    return bool(one["what"] == "key" and one["because"] == "returns")


def _way(one: Mapping[str, Any]) -> str:
    """Which way a new pin goes: in height for its flag, else from its string or to it."""
    if one["because"] in ("flag_low", "flag_high"):
        return "down" if one["because"] == "flag_low" else "up"
    return _side(one)


def _side(one: Mapping[str, Any]) -> str:
    return "away" if one["gap_change_mm"] > 0 else "nearer"
