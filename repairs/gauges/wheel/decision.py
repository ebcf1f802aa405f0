"""Which work a wheel asks for: nothing, what can be undone, the owner's word, or the cut.

Cutting is the only work that does not come back. It is advised for a form that lies *surely*
outside of the limit that counts (guard band after JCGM 106:2012, 8.3.3), after all that can be
undone was done, and with the owner's leave where the rim is old or nobody knows what it is. The
thresholds are data; no published figure was found for them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.arrays import Floats
from repairs.gauges.base.verdict import COMMON_PRACTICE
from repairs.gauges.wheel.fit import WORST_SPREAD
from repairs.gauges.wheel.fitted import Harmonic, WheelFit
from repairs.gauges.wheel.runout import Places, Spread, most_noise_mm, spreads

VERSION = "wheel_decision 1"

Action = Literal[
    "leave",
    "not_judged",
    "bearing",
    "recentre",
    "keep_form",
    "prepare",
    "read_turns",
    "ask_leave",
    "return",
]

# A mean and three harmonics are seven unknowns: with fewer than eight readings nothing is left over
# by which they could be doubted, so nothing is judged.
ENOUGH = 8
SURE = 2.0  # an eccentricity below so many standard uncertainties has no angle
# Beyond the low end of the 95 % interval, in standard uncertainties: with it some 3.7 in all. A
# wheel exactly at its limit is then taken for one outside in fewer than one case of a thousand,
# one that exceeds it by five is found in nineteen of twenty (`manage.py measure cover`).
GUARD = 1.7
# Half a division of a dial of 0.01 mm: no hand taps a hub by less.
LEAST_SHIFT_MM = 0.005
LOOSE_MM = (
    0.02  # common practice: an axle has no shake; two divisions are what a dial makes sure of
)
# What is not known to have been replaced lately may be the maker's own, and is treated as such.
IRREPLACEABLE = ("original", "old_replacement", "unknown")


@dataclass(frozen=True, slots=True)
class Rule:
    """Thresholds of the decision.

    Leave at or below ``leave_tir_mm``, or what the gauge's noise alone would show. Re-centre unless
    the form is more than ``ratio`` times what the eccentricity shows. Nothing is judged when noise
    alone could show ``noisy`` times the limit, or when an arc of more than ``widest_gap_deg`` was
    not read. ``form_limit_mm`` is the roundness beyond which a rim may be cut.
    """

    # Two divisions of a dial of 0.01 mm: below that a wheel is as good as it can be read.
    leave_tir_mm: float = 0.02
    ratio: float = 2.0
    noisy: float = 2.0
    widest_gap_deg: float = 120.0
    form_limit_mm: float = 0.05
    source: str = COMMON_PRACTICE


HOUSE_RULE = Rule()


@dataclass(frozen=True, slots=True)
class Done:
    """What was done before the reading, the owner's leave, and the play of the axle."""

    cleaned: bool = False
    acclimatised: bool = False
    recentred: bool = False
    leave: bool = False
    push_pull_mm: float | None = None

    @property
    def is_all_undone_tried(self) -> bool:
        """Whether all that can be undone was done."""
        return self.cleaned and self.acclimatised and self.recentred

    @property
    def is_loose(self) -> bool:
        """Whether the axle shakes in its bearing: the rim then follows the axle."""
        return self.push_pull_mm is not None and self.push_pull_mm > LOOSE_MM


@dataclass(frozen=True, slots=True)
class Form:
    """The roundness as found, and with the noise that a cut asks for; None: too few places."""

    found: Spread | None
    to_cut: Spread | None

    def is_surely_over(self, limit_mm: float) -> bool:
        """Whether the form lies outside of the limit beyond reasonable doubt."""
        return _is_over(self.found, limit_mm)

    def may_be_cut(self, limit_mm: float) -> bool:
        """The same when the noise was taken from the readings, not assumed."""
        return _is_over(self.to_cut, limit_mm)


NO_FORM = Form(None, None)


def _is_over(form: Spread | None, limit_mm: float) -> bool:
    return form is not None and form.low_mm - GUARD * form.u_mm > limit_mm


def form_to_cut(
    at: Places | None,
    theta: Floats,
    readings_mm: Floats,
    noise_mm: float,
    found: Spread | None,
    *,
    is_assumed: bool,
) -> Spread | None:
    """The roundness with the noise that a cut asks for.

    An assumed noise is never taken for less than what five lobes leave of the readings may stand
    for; where too few are left to tell, nothing is cut for it.
    """
    if found is None or at is None or not is_assumed:
        return found
    most = most_noise_mm(theta, readings_mm)
    return None if most is None else spreads(at, readings_mm, max(noise_mm, most))[1]


def noise_range_mm(sigma_mm: float, count: int) -> float:
    """Range that so many readings of a perfect wheel would show: ``2σ·√(2·ln N)``."""
    return 2 * sigma_mm * math.sqrt(2 * math.log(max(count, 2)))


def is_sure(off: Harmonic) -> bool:
    """Whether a harmonic is sure enough to have a direction: not below twice its uncertainty."""
    return off.amp_mm >= SURE * off.u_amp_mm


def has_angle(fit: WheelFit) -> bool:
    """Whether the eccentricity is sure enough to have a direction, and large enough to be moved."""
    return is_sure(fit.joint[0]) and fit.joint[0].amp_mm >= LEAST_SHIFT_MM


def decide(
    fit: WheelFit,
    widest_gap_deg: float,
    rule: Rule = HOUSE_RULE,
    *,
    form: Form = NO_FORM,
    done: Done | None = None,
    rim: str = "unknown",
) -> Action:
    """Return what to do about a wheel. Source of the thresholds: common practice, see `Rule`."""
    done = done or Done()
    if not is_read_enough(fit, widest_gap_deg, rule):
        return "not_judged"
    if done.is_loose:
        return "bearing"
    if form.is_surely_over(rule.form_limit_mm):
        return _before_a_cut(form, rule, done, rim)
    if is_noisy(fit, rule):
        return "not_judged"
    # Noise alone spreads the highest from the lowest of many readings, about 2σ√(2·ln n).
    noise = noise_range_mm(fit.noise_mm, fit.count)
    if fit.tir_mm <= max(rule.leave_tir_mm, noise):
        return "leave"
    # A round wheel off its axle by e shows 2e on the dial in one turn (ISO 1101, circular run-out):
    # so 2e is what stands against the form.
    off_axle, shape = 2 * fit.lsc.offset.amp_mm, fit.lsc.roundness_mm
    if shape > noise and shape > rule.ratio * off_axle:
        return "keep_form"
    if fit.joint[0].amp_mm < LEAST_SHIFT_MM:
        return "leave"
    # An offset smaller than its own doubt points nowhere: to tap it would move the wheel at random.
    return "recentre" if has_angle(fit) else "not_judged"


def _before_a_cut(form: Form, rule: Rule, done: Done, rim: str) -> Action:
    """A form that is surely over: first what can be undone, then sure readings, then the leave."""
    if not done.is_all_undone_tried:
        return "prepare"
    if not form.may_be_cut(rule.form_limit_mm):
        return "read_turns"
    if rim in IRREPLACEABLE and not done.leave:
        return "ask_leave"
    return "return"


def is_read_enough(fit: WheelFit, widest_gap_deg: float, rule: Rule = HOUSE_RULE) -> bool:
    """Whether the readings are enough and well spread."""
    return (
        fit.count >= ENOUGH and fit.spread <= WORST_SPREAD and widest_gap_deg <= rule.widest_gap_deg
    )


def is_noisy(fit: WheelFit, rule: Rule = HOUSE_RULE) -> bool:
    """Whether noise alone could be taken for run-out, and what was read is no more than noise."""
    noise = noise_range_mm(fit.noise_mm, fit.count)
    return noise > rule.noisy * rule.leave_tir_mm and fit.tir_mm <= rule.noisy * noise
