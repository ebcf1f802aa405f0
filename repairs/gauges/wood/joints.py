"""A crack, glued or splinted: what stays open once the wood has settled in the air of its home."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from repairs.gauges.base.given import absent, choice, limits, only
from repairs.gauges.base.plain import needed, optional, plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import K, Limit, Verdict, judge
from repairs.gauges.wood.closing import U_GAP_MM, Air, CrackClosing, air_of, crack_closing
from repairs.gauges.wood.joint_limits import DEFAULT_LIMITS, VERSION
from repairs.gauges.wood.moisture import TOO_DAMP_PCT
from repairs.gauges.wood.movement import MOST_WIDTH_MM
from repairs.gauges.wood.settling import SETTLING_INPUTS, settling_of
from repairs.gauges.wood.species import WOOD_INPUTS, Grain, grain_of

WIDTH_ENDS_MM = (1.0, MOST_WIDTH_MM)

JointNote = Literal["closes_only_damp", "never_closes", "would_press", "dry_it", "pulls_at_home"]
Deed = Literal[
    "glue", "splint", "bring_to_target_and_measure_again", "try_dry", "not_judged",
    "holds", "opened", "look_closer",
]  # fmt: skip
Repair = Literal["glued", "splinted"]
REPAIRS = ("glued", "splinted")


@dataclass(frozen=True)
class CrackJoint:
    """Glue or splint, by what stays open once the wood has settled in its home air.

    ``splint_mm`` is the width of the splint at that moisture, before it is fitted. ``notes``:
    ``closes_only_damp`` (over 75 % RH), ``never_closes``, ``would_press`` (gluing it shut in damp
    air and drying it would pull at the joint), ``dry_it`` (the crack opens in the new air),
    ``pulls_at_home`` (a repaired one is pulled at where its home is drier).
    """

    deed: Deed
    left_mm: float
    u_left_mm: float
    verdict: Verdict
    splint_mm: float | None
    closing: CrackClosing
    notes: tuple[JointNote, ...]


def crack_joint(
    gap_mm: float,
    width_mm: float,
    wood: Grain,
    air: Air,
    *,
    u_gap_mm: float = U_GAP_MM,
    limit: Limit | None = DEFAULT_LIMITS["glue_line_mm"],
) -> CrackJoint:
    """Return whether a crack is glued shut or splinted, once settled in the air of ``air.to_…``.

    What is left open is the gap less the computed closing (Eqs 4-5, 13-2, 13-3). Surely under the
    glue line: glue. Surely over it: splint. Between: bring the wood to its home air and measure;
    where it is there already no waiting tells more, and it is tried dry.
    """
    closing = crack_closing(width_mm, wood, air, gap_mm=gap_mm, u_gap_mm=u_gap_mm)
    left, u_left = closing.left_mm or 0.0, closing.u_left_mm
    verdict = judge(left, u_left, limit)
    open_yet: Deed = "try_dry" if closing.at_home else "bring_to_target_and_measure_again"
    deeds: dict[str, Deed] = {
        "inside": "glue", "outside": "splint", "not_judged": "not_judged", "doubtful": open_yet,
    }  # fmt: skip
    return CrackJoint(
        deeds[verdict.word],
        left,
        u_left or 0.0,
        verdict,
        left if verdict.word == "outside" else None,
        closing,
        _notes(closing, is_pressed=left + K * (u_left or 0.0) < 0),
    )


def _notes(closing: CrackClosing, *, is_pressed: bool) -> tuple[JointNote, ...]:
    # Damp air can close a crack that its home opens again. Glued there, the joint is pulled at for
    # good: the humidity of the home decides, not the one in which the edges happen to meet.
    notes: list[JointNote] = []
    if closing.rh_to_close_pct is None:
        notes.append("never_closes")
    elif closing.rh_to_close_pct > TOO_DAMP_PCT:
        notes.append("closes_only_damp")
    if is_pressed:
        notes.append("would_press")
    if closing.closing_mm < 0 and not closing.at_home:
        notes.append("dry_it")
    return tuple(notes)


def repaired_joint(
    gap_mm: float,
    closing: CrackClosing,
    *,
    u_gap_mm: float = U_GAP_MM,
    limit: Limit | None = DEFAULT_LIMITS["glue_line_mm"],
) -> CrackJoint:
    """Return whether a glued or splinted crack holds: what is open beside the glue, as read.

    It moves freely no longer, so that nothing is reckoned off; ``closing`` tells whether its home
    would pull at it.
    """
    verdict = judge(gap_mm, u_gap_mm, limit)
    deeds: dict[str, Deed] = {
        "inside": "holds", "outside": "opened", "doubtful": "look_closer",
        "not_judged": "not_judged",
    }  # fmt: skip
    pulls = not closing.at_home and closing.closing_mm + K * closing.u_closing_mm < 0
    notes: tuple[JointNote, ...] = ("pulls_at_home",) if pulls else ()
    return CrackJoint(deeds[verdict.word], gap_mm, u_gap_mm, verdict, None, closing, notes)


_JOINT_INPUTS = {
    "gap_mm": "width of the crack now, mm",
    "u_gap_mm": "optional: standard uncertainty, mm",
    "width_mm": "width of the wood whose movement closes the crack, mm",
    "t_c": "temperature, °C",
    "to_t_c": "optional: temperature at home, °C; the same when left out",
    "from_rh_pct": "humidity in which it has settled, %",
    "to_rh_pct": "humidity of its home, %",
    "u_rh_pct": "optional: standard uncertainty of the hygrometer, %",
    "repair": "optional: glued or splinted, when it was repaired already",
    "limits": "optional: house limit glue_line_mm",
    **SETTLING_INPUTS,
    **WOOD_INPUTS,
}


def _run_joint(data: Plain) -> dict[str, Any]:
    only(data, _JOINT_INPUTS)
    gap_mm, width_mm = needed(data, "gap_mm", (0.0, 50.0)), needed(data, "width_mm", WIDTH_ENDS_MM)
    wood, air = grain_of(data), air_of(data)
    u_gap_mm = optional(data, "u_gap_mm", U_GAP_MM, (0.0, 10.0))
    limit = limits(data, DEFAULT_LIMITS)["glue_line_mm"]
    if absent(data, "repair"):
        joint = crack_joint(gap_mm, width_mm, wood, air, u_gap_mm=u_gap_mm, limit=limit)
    else:
        choice("repair", data["repair"], REPAIRS)
        closing = crack_closing(width_mm, wood, air)
        joint = repaired_joint(gap_mm, closing, u_gap_mm=u_gap_mm, limit=limit)
    return {**plain(joint), "settling": plain(settling_of(data))}


register(Gauge("crack_joint", VERSION, "Glue or splint.", _JOINT_INPUTS, _run_joint))
