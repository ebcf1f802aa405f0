"""The result of a wheel as plain data, under the names of the contract."""

from __future__ import annotations

import math
from typing import Any

from repairs.gauges.base.plain import plain
from repairs.gauges.wheel import advice as wheel_advice
from repairs.gauges.wheel.fitted import Harmonic
from repairs.gauges.wheel.result import VERSION, AxialRunout, Limacon, WheelResult

SIDE_NAMES = (
    "axial_runout_mm",
    "u_axial_runout_mm",
    "axial_wobble_mm",
    "u_axial_wobble_mm",
    "axial_high_spot_deg",
    "u_axial_high_spot_deg",
    "axial_tilt_deg",
)


def answer(result: WheelResult) -> dict[str, Any]:
    """Return the result as plain, JSON-serialisable data under the names of the contract."""
    turn = result.fit
    off, oval = turn.joint[0], turn.joint[1] if len(turn.joint) > 1 else None
    return {
        "version": VERSION,
        "action": result.prescription.action,
        "n": turn.count,
        "tir_mm": turn.tir_mm,
        "u_tir_mm": turn.u_tir_mm,
        **_offset("", off),
        "oval_amp_mm": oval and oval.amp_mm,
        "u_oval_amp_mm": oval and oval.u_amp_mm,
        "oval_high_deg": oval and oval.high_deg,
        "u_oval_high_deg": oval and oval.u_high_deg,
        "lobes": plain((*turn.joint[2:3], *turn.lobes[1:])),
        "residual_mm": turn.residual_mm,
        "noise_mm": turn.noise_mm,
        **_offset("lsc_", turn.lsc.offset),
        "lsc_roundness_mm": turn.lsc.roundness_mm,
        "u_lsc_roundness_mm": turn.lsc.u_roundness_mm,
        "lsc_peak_mm": turn.lsc.peak_mm,
        "lsc_valley_mm": turn.lsc.valley_mm,
        "lsc_rms_mm": turn.lsc.rms_mm,
        "mz_roundness_mm": turn.zone.width,
        "u_mz_roundness_mm": turn.u_mz_roundness_mm,
        "mz_ecc_mm": math.hypot(turn.zone.x, turn.zone.y),
        "plane_mz_roundness_mm": result.plane_mz_roundness_mm,
        **_circle("mic_", result.inner),
        **_circle("mcc_", result.outer),
        **_turning(result),
        **_side(result.axial),
        "swelling_pct": result.swelling_pct,
        "u_swelling_pct": result.u_swelling_pct,
        "lift_after_mm": result.lift_after_mm,
        "widest_gap_deg": result.widest_gap_deg,
        "warnings": list(result.warnings),
        "prescription": plain(result.prescription),
    }


def _offset(prefix: str, off: Harmonic) -> dict[str, Any]:
    """An eccentricity; its angle is null when it is less than twice its uncertainty."""
    sure = wheel_advice.is_sure(off)
    return {
        f"{prefix}ecc_mm": off.amp_mm,
        f"u_{prefix}ecc_mm": off.u_amp_mm,
        f"{prefix}high_spot_deg": off.high_deg if sure else None,
        f"u_{prefix}high_spot_deg": off.u_high_deg if sure else None,
    }


def _circle(prefix: str, circle: Limacon | None) -> dict[str, Any]:
    return {
        f"{prefix}diameter_mm": circle and circle.diameter_mm,
        f"u_{prefix}diameter_mm": circle and circle.u_diameter_mm,
        f"{prefix}roundness_mm": circle and circle.roundness_mm,
        f"u_{prefix}roundness_mm": circle and circle.u_roundness_mm,
        f"{prefix}ecc_mm": circle and circle.ecc_mm,
    }


def _turning(result: WheelResult) -> dict[str, Any]:
    """What cutting would leave, whether or not it is advised."""
    inner = result.inner
    return {
        "radial_depth_mm": result.fit.tir_mm,
        "u_radial_depth_mm": result.fit.u_tir_mm,
        "diameter_left_mm": result.diameter_left_mm,
        "u_diameter_left_mm": result.u_diameter_left_mm,
        "recentred_radial_depth_mm": inner and inner.roundness_mm,
        "u_recentred_radial_depth_mm": inner and inner.u_roundness_mm,
        "recentred_diameter_left_mm": inner and inner.diameter_mm,
        "u_recentred_diameter_left_mm": inner and inner.u_diameter_mm,
        "plane_recentred_diameter_left_mm": result.plane_recentred_diameter_left_mm,
    }


def _side(axial: AxialRunout | None) -> dict[str, Any]:
    if axial is None:
        return dict.fromkeys(SIDE_NAMES)
    wobble = axial.wobble
    sure = wheel_advice.is_sure(wobble)
    figures = (
        axial.runout_mm,
        axial.u_runout_mm,
        wobble.amp_mm,
        wobble.u_amp_mm,
        wobble.high_deg if sure else None,
        wobble.u_high_deg if sure else None,
        axial.tilt_deg,
    )
    return dict(zip(SIDE_NAMES, figures, strict=True))
