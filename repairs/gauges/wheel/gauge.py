"""The wheel: dial readings of one turn → run-out, roundness, what to do, and how sure all of it is.

0° is a mark at the place of the crank handle; angles grow in the playing direction, seen from the
crank end. Readings grow with the distance of the surface from the axle when ``sign`` is 1. The
mean diameter belongs to the mean of the readings present. ``ecc_mm``, ``high_spot_deg`` and
``oval_amp_mm`` come from the joint fit of harmonics 1 to 3; the plain least-squares circle has
``lsc_`` before its names. All circles are limaçons (see `roundness`); above 0.2 mm of eccentricity
the plane's own figures stand beside them.
"""

from __future__ import annotations

import math
from typing import Any

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.wheel import advice as wheel_advice
from repairs.gauges.wheel import circles
from repairs.gauges.wheel.advice import Prescription, Turn
from repairs.gauges.wheel.answer import answer
from repairs.gauges.wheel.decision import (
    IRREPLACEABLE,
    Form,
    decide,
    form_to_cut,
    has_angle,
    is_noisy,
    is_sure,
)
from repairs.gauges.wheel.fit import JOINT, WORST_SPREAD, fit
from repairs.gauges.wheel.fitted import WheelFit
from repairs.gauges.wheel.force import swelling_pct
from repairs.gauges.wheel.inscribed import least_deviation
from repairs.gauges.wheel.readings import INPUTS, WheelReadings, read
from repairs.gauges.wheel.result import VERSION, AxialRunout, Limacon, Warn, WheelResult
from repairs.gauges.wheel.roundness import Touch
from repairs.gauges.wheel.runout import Spread, places, spreads

DEFAULT_LIMITS = wheel_advice.DEFAULT_LIMITS
MANY_MISSING = 1 / 3  # beyond it the stated uncertainty trusts places that nobody read
PLANE_FROM_MM = 0.2  # e²/2R of a rim of 85 mm: from here the limaçon is off by 0.2 µm and more


def measure(readings: WheelReadings) -> WheelResult:
    """Return everything that the readings say.

    Raises GaugeInputError ``no_answer`` when an exact circle cannot be found. Sources: ISO 1101
    (run-out), ISO 4291 and ISO 12181-1 (roundness), JCGM 100:2008 (uncertainty); common practice
    (what to do).
    """
    theta = np.radians(readings.angles_deg)
    turn = fit(theta, readings.readings_mm, readings.sigma_mm)
    inner = _limacon(turn.inner, theta, readings, turn)
    plane_roundness, plane_diameter = _in_plane(theta, readings, turn)
    diameter_left = readings.mean_diameter_mm + 2 * turn.least_mm
    own = math.sqrt(1 - 1 / turn.count) * turn.noise_mm
    u_diameter_left = 2 * math.hypot(readings.u_mean_diameter_mm / 2, own)
    at = places(theta)
    run_out, form = (None, None) if at is None else spreads(at, readings.readings_mm, turn.noise_mm)
    to_cut = form_to_cut(
        at, theta, readings.readings_mm, turn.noise_mm, form, is_assumed=readings.sigma_assumed
    )
    left = diameter_left, u_diameter_left
    prescription = _prescribe(readings, turn, left, run_out, Form(form, to_cut))
    once, twice = (_swelling(readings.lift_mm, turn, order) for order in (1, 2))
    return WheelResult(
        fit=turn,
        run_out=run_out,
        form=form,
        repeat=readings.repeat,
        diameter_left_mm=diameter_left,
        u_diameter_left_mm=u_diameter_left,
        inner=inner,
        outer=_limacon(turn.outer, theta, readings, turn),
        plane_mz_roundness_mm=plane_roundness,
        plane_recentred_diameter_left_mm=plane_diameter,
        axial=_axial(readings),
        widest_gap_deg=readings.widest_gap_deg,
        warnings=_warnings(readings, turn, run_out),
        swelling_pct=once[0],
        u_swelling_pct=once[1],
        oval_swelling_pct=twice[0],
        u_oval_swelling_pct=twice[1],
        lift_after_mm=_lift_after(readings.lift_mm, prescription.turn),
        prescription=prescription,
    )


def _limacon(
    touch: Touch | None, theta: Floats, readings: WheelReadings, turn: WheelFit
) -> Limacon | None:
    """Figures of an inscribed or circumscribed limaçon.

    Where its centre is not unique, the one with the least roundness is taken. Its departure from
    the circle, at most ``e²/2R``, goes into the uncertainty of the diameter.
    """
    if touch is None:
        return None
    cos, sin = np.cos(theta), np.sin(theta)
    r = readings.readings_mm - turn.mean_mm
    centred = least_deviation(touch, cos, sin, r)
    off = np.abs(centred.deviations(cos, sin, r))
    own = turn.noise_mm**2 * max(touch.noise_gain**2 - 1 / turn.count, 0.0)
    ecc = math.hypot(centred.x, centred.y)
    model = ecc**2 / readings.mean_diameter_mm / math.sqrt(3)
    return Limacon(
        diameter_mm=readings.mean_diameter_mm + 2 * touch.mean,
        u_diameter_mm=2 * math.hypot(readings.u_mean_diameter_mm / 2, math.sqrt(own), model),
        roundness_mm=float(off.max()),
        u_roundness_mm=turn.noise_mm * _reach(centred, cos, sin, int(off.argmax())),
        ecc_mm=ecc,
    )


def _reach(touch: Touch, cos: Floats, sin: Floats, far: int) -> float:
    """Noise of the deviation at one place, for readings of noise 1.

    The limaçon through three readings is carried to that place; where only two hold it, it has
    been turned to fit and the deviation is as sure as the difference of two readings.
    """
    if touch.is_free:
        return math.sqrt(2)
    held = list(touch.support)
    rows = np.vstack([np.ones(3), cos[held], sin[held]])
    return math.hypot(1.0, *np.linalg.solve(rows, np.array([1.0, cos[far], sin[far]])).tolist())


def _in_plane(
    theta: Floats, readings: WheelReadings, turn: WheelFit
) -> tuple[float | None, float | None]:
    """Minimum zone and inscribed diameter of the plane points, for a large eccentricity only."""
    if turn.lsc.offset.amp_mm <= PLANE_FROM_MM or turn.inner is None:
        return None, None
    radii = readings.mean_diameter_mm / 2 + readings.readings_mm - turn.mean_mm
    x, y = radii * np.cos(theta), radii * np.sin(theta)
    inner = circles.inscribed_circle(x, y)
    return circles.zone_circle(x, y).roundness, None if inner is None else 2 * inner.radius


def _axial(readings: WheelReadings) -> AxialRunout | None:
    """Wobble of the side face, taken near the rim, hence at the mean radius."""
    side = readings.side
    if side is None:
        return None
    turn = fit(np.radians(side.angles_deg), side.readings_mm, side.sigma_mm)
    wobble = turn.lsc.offset
    return AxialRunout(
        runout_mm=turn.tir_mm,
        u_runout_mm=turn.u_tir_mm,
        wobble=wobble,
        tilt_deg=math.degrees(math.atan2(2 * wobble.amp_mm, readings.mean_diameter_mm)),
    )


def _warnings(readings: WheelReadings, turn: WheelFit, run_out: Spread | None) -> tuple[Warn, ...]:
    """Codes of what makes the figures less sure than they look."""
    found: dict[Warn, bool] = {
        "too_few_places": run_out is None,
        "many_gaps": readings.missing > MANY_MISSING * (readings.missing + turn.count),
        "wide_gap": readings.widest_gap_deg > readings.rule.widest_gap_deg,
        "uneven_places": turn.spread > WORST_SPREAD,
        "fewer_harmonics": len(turn.joint) < JOINT,
        "no_inscribed_circle": turn.inner is None,
        "noise_assumed": readings.sigma_assumed,
        "more_than_noise_left": turn.noise_mm > readings.sigma_mm,
        "noise_too_big": is_noisy(turn, readings.rule),
        "bearing_loose": readings.done.is_loose,
        "angle_not_sure": not is_sure(turn.joint[0]),
        "large_eccentricity": turn.lsc.offset.amp_mm > PLANE_FROM_MM,
    }
    return tuple(code for code, applies in found.items() if applies)


def _prescribe(
    readings: WheelReadings,
    turn: WheelFit,
    left: tuple[float, float],
    run_out: Spread | None,
    form: Form,
) -> Prescription:
    """Decide, and give the work its figures."""
    done = readings.done
    action = decide(
        turn, readings.widest_gap_deg, readings.rule, form=form, done=done, rim=readings.rim
    )
    cut = None
    if action == "return" and run_out is not None:
        cut = _cut(readings, turn, run_out, left)
    moves = action == "recentre" or (action == "prepare" and not done.recentred)
    is_old = readings.rim in IRREPLACEABLE
    return Prescription(
        action=action,
        need=None if run_out is None else wheel_advice.need(run_out.value_mm),
        steps=wheel_advice.steps(action, done, is_off=has_angle(turn)),
        irreversible=action in wheel_advice.TURNING,
        consent_of_its_own=action in ("prepare", "ask_leave", "return") and is_old,
        recentre=wheel_advice.recentring(turn) if moves else None,
        turn=cut,
        strings=wheel_advice.strings_after(
            readings.strings, turn, 0.0 if cut is None else cut.lift_lost_mm
        ),
        rule=readings.rule,
    )


def _swelling(
    lift_mm: float | None, turn: WheelFit, order: int
) -> tuple[float | None, float | None]:
    """Swelling of the force with its u, in per cent: once a turn off its axle, twice if oval."""
    if lift_mm is None or order > len(turn.joint):
        return None, None
    lobe = turn.joint[order - 1]
    return swelling_pct(lobe.amp_mm, lift_mm), swelling_pct(lobe.u_amp_mm, lift_mm)


def _lift_after(lift_mm: float | None, cut: Turn | None) -> float | None:
    """The lift left after the work."""
    lost = 0.0 if cut is None else cut.lift_lost_mm
    return None if lift_mm is None else max(lift_mm - lost, 0.0)


def _cut(
    readings: WheelReadings, turn: WheelFit, run_out: Spread, left: tuple[float, float]
) -> Turn:
    lost = (readings.mean_diameter_mm - left[0]) / 2
    return Turn(
        depth_mm=run_out.value_mm,
        u_depth_mm=run_out.u_mm,
        diameter_left_mm=left[0],
        u_diameter_left_mm=left[1],
        lift_lost_mm=lost,
        lift_lost_at_high_spot_mm=turn.most_mm + lost,
    )


def run(given: Plain) -> dict[str, Any]:
    """Answer of the gauge ``wheel`` for plain data; raises GaugeInputError."""
    return answer(measure(read(given)))


GAUGE = register(
    Gauge(
        "wheel", VERSION, "Dial readings of one turn: run-out, roundness, what to do.", INPUTS, run
    )
)
