"""What to do about a wheel: leave it, centre it again, turn its rim, or the one then the other.

The thresholds are data; no published figure was found for them. The order of the work never
changes: what can be undone comes first, cutting last. Words are codes, for the room to say.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit
from repairs.gauges.wheel.fit import WORST_SPREAD
from repairs.gauges.wheel.fitted import Harmonic, WheelFit
from repairs.gauges.wheel.force import StringOnWheel, swelling_pct

VERSION = "wheel_advice 1"

Action = Literal["leave", "recentre", "return", "recentre_then_return", "not_judged"]
Need = Literal["good", "watch", "true_it"]

# A mean and three harmonics are seven unknowns: with fewer than eight readings nothing is left over
# by which they could be doubted, so nothing is judged.
ENOUGH = 8
SURE = 2.0  # an eccentricity below so many standard uncertainties has no angle


@dataclass(frozen=True, slots=True)
class Rule:
    """Thresholds of the decision.

    Leave at or below ``leave_tir_mm``, or what the gauge's noise alone would show. Re-centre alone
    when twice the eccentricity is more than ``ratio`` times the roundness, turn alone when it is
    less than the roundness over ``ratio``. Nothing is judged when noise alone could show
    ``noisy`` times the limit, or when an arc of more than ``widest_gap_deg`` was not read.
    """

    # Two divisions of a dial of 0.01 mm: below that a wheel is as good as it can be read.
    leave_tir_mm: float = 0.02
    ratio: float = 2.0
    noisy: float = 2.0
    widest_gap_deg: float = 120.0
    source: str = COMMON_PRACTICE


HOUSE_RULE = Rule()
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
CLEAN: tuple[Step, ...] = ("clean_rim_and_rosin_again", "acclimatise", "measure_again")
SEAT: tuple[Step, ...] = ("reseat_or_shim", "measure_again")
# What is cut does not come back: the profile as found is the only record of the old rim.
CUT: tuple[Step, ...] = (
    "record_profile_as_found",
    "consent_to_turning",
    "turn_rim",
    "polish_rim",
    "rosin_rim",
)
# A smaller wheel lifts every string less. At 66.3 N, 345 mm, 25 mm from the bridge, a lift of
# 1.0 mm that becomes 0.52 mm takes the force from 2.86 to 1.49 N: no setting is right any more.
AFTER_CUT: tuple[Step, ...] = ("measure_again", "set_every_pressure_again")
STEPS: dict[Action, tuple[Step, ...]] = {
    "leave": (),
    "not_judged": CLEAN,
    "recentre": CLEAN + SEAT,
    "return": (*CLEAN, "check_seat_and_bearing", *CUT, *AFTER_CUT),
    "recentre_then_return": CLEAN + SEAT + CUT + AFTER_CUT,
}
TURNING: tuple[Action, ...] = ("return", "recentre_then_return")
CENTRING: tuple[Action, ...] = ("recentre", "recentre_then_return")
# What is not known to have been replaced may be the maker's own, and is treated as such.
IRREPLACEABLE = ("original", "unknown")


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

    ``need`` says how pressing it is by common practice. ``irreversible`` is true when the rim is
    cut; ``consent_of_its_own`` when that rim is original or of unknown origin.
    """

    action: Action
    need: Need
    steps: tuple[Step, ...]
    irreversible: bool
    consent_of_its_own: bool
    recentre: Recentre | None
    turn: Turn | None
    strings: tuple[StringAfter, ...]
    rule: Rule


def noise_range_mm(sigma_mm: float, count: int) -> float:
    """Range that so many readings of a perfect wheel would show: ``2σ·√(2·ln N)``."""
    return 2 * sigma_mm * math.sqrt(2 * math.log(max(count, 2)))


def is_sure(off: Harmonic) -> bool:
    """Whether an offset is sure enough to have a direction: not below twice its uncertainty."""
    return off.amp_mm >= SURE * off.u_amp_mm


def has_angle(fit: WheelFit) -> bool:
    """Whether the eccentricity is sure enough to have a direction."""
    return is_sure(fit.joint[0])


def decide(fit: WheelFit, widest_gap_deg: float, rule: Rule = HOUSE_RULE) -> Action:
    """Return what to do about a wheel.

    The eccentricity and the roundness compared are those of the least-squares circle. Source of
    the thresholds: common practice, see `Rule`.
    """
    if not can_judge(fit, widest_gap_deg, rule):
        return "not_judged"
    # Noise alone spreads the highest from the lowest of many readings, about 2σ√(2·ln n): a fine
    # wheel read coarsely must not be cut for it.
    noise = noise_range_mm(fit.noise_mm, fit.count)
    if fit.tir_mm <= max(rule.leave_tir_mm, noise):
        return "leave"
    # A round wheel off its axle by e shows 2e on the dial in one turn (ISO 1101, circular run-out):
    # so 2e is what stands against the form.
    off_axle, form = 2 * fit.lsc.offset.amp_mm, fit.lsc.roundness_mm
    if form > noise and form > rule.ratio * off_axle:
        return "return"
    # An offset smaller than its own doubt points nowhere: to tap it would move the wheel at random.
    if not has_angle(fit):
        return "not_judged"
    alone = form <= noise or off_axle > rule.ratio * form
    return "recentre" if alone else "recentre_then_return"


def can_judge(fit: WheelFit, widest_gap_deg: float, rule: Rule = HOUSE_RULE) -> bool:
    """Whether the readings are enough, well spread, and the noise small enough to say."""
    return (
        fit.count >= ENOUGH
        and fit.spread <= WORST_SPREAD
        and widest_gap_deg <= rule.widest_gap_deg
        and not is_noisy(fit, rule)
    )


def is_noisy(fit: WheelFit, rule: Rule = HOUSE_RULE) -> bool:
    """Whether noise alone could be taken for run-out, and what was read is no more than noise."""
    noise = noise_range_mm(fit.noise_mm, fit.count)
    return noise > rule.noisy * rule.leave_tir_mm and fit.tir_mm <= rule.noisy * noise


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
