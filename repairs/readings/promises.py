"""What a prescription promises of the next reading, and when that is kept.

A change by an amount promises a change of a figure; where hands only bring something to order (a
slot eased, a key bushed) it is promised that the figure then lies inside its limit.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from repairs.readings.models import Prescription, Result

Ends = tuple[float | None, float | None]

EXPANDED = 2.0  # k of an expanded uncertainty, about 95 %: JCGM 100:2008, 6.3

TANGENT_CODES = ("keys.turn", "keys.move")
HEIGHT_CODES = ("bow.raise_string", "bow.lower_string")
# What is done to the dog, and the figure of its card that this brings to order (common practice).
DOG_FIGURES: Mapping[str, str] = {
    "try.ease_slot": "play_mm",
    "try.wedge_slot": "play_mm",
    "try.retie_nearer_line": "pitch_shift_cents",
    "try.thin_foot": "onset_rpm",
    "try.lighter_string": "onset_rpm",
}
CRACK_CODE = "crack.bring_to_target_and_measure_again"
CRACK_CLOSED = ("crack.glue", "crack.splint")


@dataclass(frozen=True)
class Promise:
    """By how much one figure should change when the prescription is followed to the letter.

    ``was`` is the figure before, where it is a length that nothing makes less than nought: a rim
    moved too far sits off its axle again (``comes_back``), one cut too deep only grows smaller.
    ``to_limit``: at least so far, for it is the way to the limit.
    """

    prescription: Prescription
    figure: str
    change: float
    u: float | None
    unit: str
    was: float | None = None
    comes_back: bool = False
    to_limit: bool = False


def promises(result: Result) -> list[Promise]:
    """What the prescriptions of a kept result promise, as ``promised`` has it."""
    verdicts = {verdict.figure: verdict for verdict in result.verdicts.all()}
    return promised(
        result.prescriptions.all(),
        result.output,
        {key: one.value for key, one in verdicts.items()},
        {key: (one.lower, one.upper) for key, one in verdicts.items()},
        {key: one.u for key, one in verdicts.items()},
    )


def promised(
    told: Iterable[Prescription],
    output: Mapping[str, Any],
    figures: Mapping[str, float],
    limits: Mapping[str, Ends] | None = None,
    us: Mapping[str, float | None] | None = None,
) -> list[Promise]:
    """Those lines of a prescription that say by how much a figure will change.

    A tangent moved as told brings its key to the wanted note, a rim shifted as told has no
    eccentricity left, one cut on its axle no run-out, a bridge or nut set as told takes its error
    away: the change is the figure's deviation with its sign turned. A string set to a height as
    told is pressed by the force that goes with it. Tangents that are to be set only after bridge
    or nut promise nothing that one reading could tell apart, and are left out. Of a figure that
    several lines bring inside its limit, the first promises it.
    """
    found: list[Promise] = []
    for row in told:
        one = _promise(row, output, figures) or _to_order(row, figures, limits or {}, us or {})
        if one is not None and not (one.to_limit and one.figure in {f.figure for f in found}):
            found.append(one)
    return found


def _to_order(
    row: Prescription,
    figures: Mapping[str, float],
    limits: Mapping[str, Ends],
    us: Mapping[str, float | None],
) -> Promise | None:
    """A line that says what to bring to order: the crack, the dog, the action of the keys."""
    if row.code == CRACK_CODE and "left_mm" in figures:
        # Brought into its home's air, it is left open as far as was reckoned.
        return Promise(row, "left_mm", 0.0, us.get("left_mm"), "mm", figures["left_mm"])
    if row.code in CRACK_CLOSED:
        return _inside(row, "left_mm", "mm", figures, limits)
    if row.code in DOG_FIGURES:
        figure = DOG_FIGURES[row.code]
        unit = {"play_mm": "mm", "onset_rpm": "1/min"}.get(figure, "cents")
        return _inside(row, figure, unit, figures, limits)
    if row.code.startswith("action.") and row.amount:
        return _inside(row, f"{row.details.get('why')}_mm", "mm", figures, limits)
    return None


def is_to_limit(row: Prescription) -> bool:
    """Whether the line promises a figure inside its limit, by no amount of its own."""
    return row.code in (*CRACK_CLOSED, *DOG_FIGURES) or row.code.startswith("action.")


def _inside(
    row: Prescription,
    figure: str,
    unit: str,
    figures: Mapping[str, float],
    limits: Mapping[str, Ends],
) -> Promise | None:
    """The way to the nearer end of its limit, of a figure that lies beyond it."""
    was, (lower, upper) = figures.get(figure), limits.get(figure, (None, None))
    if was is None:
        return None
    if lower is not None and was < lower:
        return Promise(row, figure, lower - was, None, unit, to_limit=True)
    if upper is not None and was > upper:
        return Promise(row, figure, upper - was, None, unit, to_limit=True)
    return None


def _promise(
    row: Prescription, output: Mapping[str, Any], figures: Mapping[str, float]
) -> Promise | None:
    if row.amount is None or row.amount == 0:
        return None
    if row.code in TANGENT_CODES:
        return _of_tangent(row, output)
    if row.code == "wheel.shift":
        was = figures.get("ecc_mm")
        return Promise(row, "ecc_mm", -abs(row.amount), row.u, "mm", was, comes_back=True)
    if row.code == "wheel.cut":
        # Cut on its axle down to the lowest place, a rim runs true.
        return Promise(row, "tir_mm", -abs(row.amount), row.u, "mm", figures.get("tir_mm"))
    if row.code in HEIGHT_CODES:
        return _of_height(row, figures)
    if row.code in ("keys.move_bridge", "keys.move_nut"):
        place = _place(output, row.target)
        name = "scale_error_mm" if row.code == "keys.move_bridge" else "nut_error_mm"
        if place is None:
            return None
        before = figures.get(f"{name}:{place}")
        return Promise(row, f"{name}:{place}", -before, row.u, "mm") if before else None
    return None


def _of_height(row: Prescription, figures: Mapping[str, float]) -> Promise | None:
    """A string set higher or lower at the bridge as told is pressed by the force that was told."""
    wanted, before = row.details.get("force"), figures.get("force_n")
    if wanted is None or before is None or not row.amount:
        return None
    change = wanted - before
    u = None if row.u is None else abs(change / row.amount) * row.u
    return Promise(row, "force_n", change, u, "N")


def _of_tangent(row: Prescription, output: Mapping[str, Any]) -> Promise | None:
    string, _comma, key = row.target.rpartition(", ")
    place = _place(output, string)
    cents = row.details.get("cents")
    if place is None or not cents or row.amount is None:
        return None
    # The tangent's own error shows only once bridge or nut stand right: one reading before and one
    # after cannot part the two.
    if output["strings"][place - 1]["basis"] == "after_scale":
        return None
    u = None if row.u is None else abs(cents / row.amount) * row.u
    # A flag at its end, or one that is turned for the meeting too, leaves some of it.
    change = row.details.get("left", 0.0) - cents
    return Promise(row, f"off_cents:{place}.{key}", change, u, "cents")


def _place(output: Mapping[str, Any], string: str) -> int | None:
    names = [one["name"] for one in output.get("strings", [])]
    return names.index(string) + 1 if string in names else None


def expected_of(promise: Promise, done: float | None) -> tuple[float, float | None]:
    """The change to expect, with its uncertainty, when the prescription was followed by ``done``.

    Half a turn of a tangent moves it by half as much: small moves are in proportion.
    """
    told = promise.prescription.amount or 0.0
    share = 1.0 if done is None else done / told
    u = None if promise.u is None else promise.u * abs(share)
    change = promise.change * share + 0.0  # the sum turns -0.0 into 0.0
    if promise.was is None:
        return change, u
    after = promise.was + change
    return (abs(after) if promise.comes_back else max(after, 0.0)) - promise.was, u


def judged(
    expected: float, u: float | None, got: float, got_u: float | None, *, to_limit: bool
) -> tuple[str, float]:
    """Whether what came is what was promised, within twice the joint uncertainty; what lacks.

    JCGM 100:2008, 5.1.2, with k = 2. The way to a limit may be gone further.
    """
    short = math.copysign(1.0, expected) * (expected - got) if expected else abs(got)
    if got_u is None or (u is None and not to_limit):
        return "not_judged", short
    joint = EXPANDED * math.hypot(u or 0.0, got_u)
    is_kept = short <= joint if to_limit else abs(got - expected) <= joint
    return ("inside" if is_kept else "outside"), short
