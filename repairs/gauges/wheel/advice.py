"""What is done about a wheel, in its order and with its figures.

The order of the work never changes: what can be undone comes first, the axle before the rim,
cutting last and after permission. Words are codes, for the room to say.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.verdict import Limit
from repairs.gauges.wheel.decision import Action, Done, Rule, has_angle
from repairs.gauges.wheel.fitted import WheelFit
from repairs.gauges.wheel.force import StringOnWheel, swelling_pct

VERSION = "wheel_advice 2"

Need = Literal["good", "watch", "true_it"]

# No published tolerance of a wheel was found. What the figure means follows from the force: a
# string lifted by 1 mm on a rim that runs out by 0.05 mm (0.025 mm of eccentricity) is pressed
# 2.5 % more and 2.5 % less each turn. The side face touches no string: it has to clear its slot.
GOOD_UP_TO_TIR_MM = 0.05
DEFAULT_LIMITS = {
    "tir_mm": Limit(None, GOOD_UP_TO_TIR_MM, "mm"),
    "axial_runout_mm": Limit(None, 0.3, "mm"),
}
WATCH_UP_TO_TIR_MM = 0.10  # common practice: above it the wheel is trued

Step = Literal[
    "clean_rim_and_rosin_again",
    "acclimatise",
    "measure_again",
    "reseat_or_shim",
    "check_seat_and_bearing",
    "record_profile_as_found",
    "consent_to_turning",
    "turn_rim",
    "polish_rim",
    "rosin_rim",
    "set_every_pressure_again",
]
# Rosin lies on a rim in ridges and reads as run-out, and a wheel fresh from other air is oval until
# it has settled. So the rim is cleaned, given time and read again before anything is moved.
CLEAN: tuple[Step, ...] = ("clean_rim_and_rosin_again", "acclimatise")
SEAT: Step = "reseat_or_shim"
# A rim follows its axle: play is mended first, and the rim read again.
BEARING: tuple[Step, ...] = ("check_seat_and_bearing", "measure_again")
# Permission before all. What is cut does not come back: the profile as found is the only record.
CUT: tuple[Step, ...] = (
    "consent_to_turning",
    "record_profile_as_found",
    "turn_rim",
    "polish_rim",
    "rosin_rim",
    # A smaller wheel lifts every string less. At 66.3 N, 345 mm, 25 mm from the bridge, a lift of
    # 1.0 mm that becomes 0.52 mm takes the force from 2.86 to 1.49 N: no setting is right any more.
    "measure_again",
    "set_every_pressure_again",
)
TURNING: tuple[Action, ...] = ("return",)


def steps(action: Action, done: Done, *, is_off: bool) -> tuple[Step, ...]:
    """What to do, in order: what can be undone first; nothing that is on record as done.

    ``is_off``: the rim sits off its axle in a sure direction.
    """
    if action == "return":
        return CUT
    if action == "bearing":
        return BEARING
    if action == "ask_leave":
        return ("record_profile_as_found", "consent_to_turning")
    if action == "read_turns":
        return ("measure_again",)
    if action in ("leave", "keep_form"):
        return ()
    undone = _undone(done)
    if action == "not_judged":
        return (*undone, "measure_again")
    seat: Step = SEAT if is_off else "check_seat_and_bearing"
    # What rosin and air did must be gone, and read again, before a blow is dealt after it.
    read_between: tuple[Step, ...] = ("measure_again",) if undone else ()
    if action == "prepare" and done.recentred:
        return (*undone, "measure_again")
    return (*undone, *read_between, seat, "measure_again")


def _undone(done: Done) -> tuple[Step, ...]:
    """Cleaning and acclimatising, as far as they were not done."""
    flags = (done.cleaned, done.acclimatised)
    return tuple(step for step, is_done in zip(CLEAN, flags, strict=True) if not is_done)


@dataclass(frozen=True, slots=True)
class Recentre:
    """Move the rim on its axle by ``shift_mm``: tap inwards at the high spot, shim opposite."""

    shift_mm: float
    u_shift_mm: float
    tap_at_deg: float
    shim_at_deg: float
    u_angle_deg: float


@dataclass(frozen=True, slots=True)
class Turn:
    """What cutting takes: depth at the highest place, diameter left, and the lift strings lose.

    ``lift_lost_mm`` is counted from the mean radius, ``lift_lost_at_high_spot_mm`` from the
    highest place: a lift measured there loses the whole depth.
    """

    depth_mm: float
    u_depth_mm: float
    diameter_left_mm: float
    u_diameter_left_mm: float
    lift_lost_mm: float
    lift_lost_at_high_spot_mm: float


@dataclass(frozen=True, slots=True)
class StringAfter:
    """A string before and after the work; its lift is the mean of a turn.

    ``swelling_pct`` is how far the force swells and fades each turn as found. ``touches`` is
    False when nothing of the lift is left.
    """

    name: str
    lift_mm: float
    force_n: float
    swelling_pct: float | None
    u_swelling_pct: float | None
    lift_after_mm: float
    force_after_n: float
    force_lost_pct: float | None
    touches: bool


@dataclass(frozen=True, slots=True)
class Prescription:
    """What to do, in order, with its figures.

    ``need`` says how pressing it is by common practice; None with too few places.
    ``irreversible`` is true when the rim is cut; ``consent_of_its_own`` when cutting is spoken of
    and that rim is old or of unknown origin.
    """

    action: Action
    need: Need | None
    steps: tuple[Step, ...]
    irreversible: bool
    consent_of_its_own: bool
    recentre: Recentre | None
    turn: Turn | None
    strings: tuple[StringAfter, ...]
    rule: Rule


def need(tir_mm: float) -> Need:
    """How pressing it is by common practice: to 0.05 mm good, to 0.10 mm watch, above true it."""
    if tir_mm <= GOOD_UP_TO_TIR_MM:
        return "good"
    return "watch" if tir_mm <= WATCH_UP_TO_TIR_MM else "true_it"


def recentring(fit: WheelFit) -> Recentre | None:
    """How far and where to move the rim on its axle; None when its direction is not sure."""
    if not has_angle(fit):
        return None
    off = fit.joint[0]
    return Recentre(
        shift_mm=off.amp_mm,
        u_shift_mm=off.u_amp_mm,
        # On the high side, towards the axle; the shim goes opposite.
        tap_at_deg=off.high_deg,
        shim_at_deg=(off.high_deg + 180) % 360,
        u_angle_deg=off.u_high_deg,
    )


def strings_after(
    strings: Sequence[tuple[str, StringOnWheel]], fit: WheelFit, lift_lost_mm: float
) -> tuple[StringAfter, ...]:
    """Each string before and after its lift becomes less by ``lift_lost_mm`` (0: not cut)."""
    return tuple(_after(name, string, fit, lift_lost_mm) for name, string in strings)


def _after(name: str, string: StringOnWheel, fit: WheelFit, lost_mm: float) -> StringAfter:
    before = string.force_n()
    # The bridge stays where it is: whatever the rim loses, each string loses of its lift.
    lift = string.lift_mm - lost_mm
    after = string.force_n(lift)
    lifted = string.lift_mm > 0
    off = fit.joint[0]
    return StringAfter(
        name=name,
        lift_mm=string.lift_mm,
        force_n=before,
        swelling_pct=swelling_pct(off.amp_mm, string.lift_mm) if lifted else None,
        u_swelling_pct=swelling_pct(off.u_amp_mm, string.lift_mm) if lifted else None,
        lift_after_mm=max(lift, 0.0),
        force_after_n=after,
        force_lost_pct=100 * (before - after) / before if lifted else None,
        touches=lift > 0,
    )
