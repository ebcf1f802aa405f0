"""The result of a wheel as plain data, under the names of the contract."""

from __future__ import annotations

import math
from typing import Any

from repairs.gauges.base.plain import plain
from repairs.gauges.wheel.decision import is_sure
from repairs.gauges.wheel.fitted import Harmonic
from repairs.gauges.wheel.result import VERSION, AxialRunout, Limacon, WheelResult
from repairs.gauges.wheel.runout import Spread
from repairs.gauges.wheel.turns import Repeat

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
        **_spread("tir_mm", result.run_out),
        "read_tir_mm": turn.tir_mm,
        **_offset("", off),
        **_oval(oval),
        "lobes": [_lobe(one) for one in (*turn.joint[2:3], *turn.lobes[1:])],
        "residual_mm": turn.residual_mm,
        "noise_mm": turn.noise_mm,
        **_offset("lsc_", turn.lsc.offset),
        **_spread("lsc_roundness_mm", result.form),
        "read_lsc_roundness_mm": turn.lsc.roundness_mm,
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
        "oval_swelling_pct": result.oval_swelling_pct,
        "u_oval_swelling_pct": result.u_oval_swelling_pct,
        "lift_after_mm": result.lift_after_mm,
        **_repeat(result.repeat),
        "widest_gap_deg": result.widest_gap_deg,
        "warnings": list(result.warnings),
        "prescription": plain(result.prescription),
    }


def _offset(prefix: str, off: Harmonic) -> dict[str, Any]:
    """An eccentricity; its angle is null when it is less than twice its uncertainty."""
    sure = is_sure(off)
    return {
        f"{prefix}ecc_mm": off.amp_mm,
        f"u_{prefix}ecc_mm": off.u_amp_mm,
        f"{prefix}high_spot_deg": off.high_deg if sure else None,
        f"u_{prefix}high_spot_deg": off.u_high_deg if sure else None,
    }


def _spread(name: str, spread: Spread | None) -> dict[str, Any]:
    """A range, its u, and the ends of its 95 % interval."""
    return {
        name: spread and spread.value_mm,
        f"u_{name}": spread and spread.u_mm,
        f"{name[:-3]}_low_mm": spread and spread.low_mm,
        f"{name[:-3]}_high_mm": spread and spread.high_mm,
    }


def _oval(oval: Harmonic | None) -> dict[str, Any]:
    """The ovality; no angle where its amplitude may be nought."""
    sure = oval is not None and is_sure(oval)
    return {
        "oval_amp_mm": oval and oval.amp_mm,
        "u_oval_amp_mm": oval and oval.u_amp_mm,
        "oval_high_deg": oval.high_deg if oval and sure else None,
        "u_oval_high_deg": oval.u_high_deg if oval and sure else None,
    }


def _lobe(one: Harmonic) -> dict[str, Any]:
    said: dict[str, Any] = plain(one)
    return said if is_sure(one) else said | {"high_deg": None, "u_high_deg": None}


def _repeat(repeat: Repeat | None) -> dict[str, Any]:
    """What two or three turns say of the readings; all null after one turn."""
    return {
        "turns": repeat.turns if repeat else 1,
        "repeat_sigma_mm": repeat and repeat.sigma_mm,
        "asynchronous_mm": repeat and repeat.asynchronous_mm,
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
        "radial_depth_mm": result.run_out and result.run_out.value_mm,
        "u_radial_depth_mm": result.run_out and result.run_out.u_mm,
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
    sure = is_sure(wobble)
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
