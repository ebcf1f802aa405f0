"""What one turn of the dial says, as frozen figures; names and units as the gauge gives them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from repairs.gauges.wheel.advice import Prescription
from repairs.gauges.wheel.fitted import Harmonic, WheelFit
from repairs.gauges.wheel.runout import Spread
from repairs.gauges.wheel.turns import Repeat

VERSION = "wheel 3"


Warn = Literal[
    "too_few_places",
    "many_gaps",
    "wide_gap",
    "uneven_places",
    "fewer_harmonics",
    "no_inscribed_circle",
    "noise_assumed",
    "more_than_noise_left",
    "noise_too_big",
    "bearing_loose",
    "angle_not_sure",
    "large_eccentricity",
]


@dataclass(frozen=True, slots=True)
class Limacon:
    """Inscribed or circumscribed circle: diameter, roundness about it, offset of its centre."""

    diameter_mm: float
    u_diameter_mm: float
    roundness_mm: float
    u_roundness_mm: float
    ecc_mm: float


@dataclass(frozen=True, slots=True)
class AxialRunout:
    """Side readings of one turn: range, and the wobble as a harmonic with its tilt."""

    runout_mm: float
    u_runout_mm: float
    wobble: Harmonic
    tilt_deg: float


@dataclass(frozen=True, slots=True)
class WheelResult:
    """All that the turns say: the fit, diameters and circles, side readings, what to do.

    ``run_out`` and ``form`` (roundness) are None where the places cannot resolve five lobes.
    """

    fit: WheelFit
    run_out: Spread | None
    form: Spread | None
    repeat: Repeat | None
    diameter_left_mm: float
    u_diameter_left_mm: float
    inner: Limacon | None
    outer: Limacon | None
    plane_mz_roundness_mm: float | None
    plane_recentred_diameter_left_mm: float | None
    axial: AxialRunout | None
    widest_gap_deg: float
    warnings: tuple[Warn, ...]
    swelling_pct: float | None
    u_swelling_pct: float | None
    oval_swelling_pct: float | None
    u_oval_swelling_pct: float | None
    lift_after_mm: float | None
    prescription: Prescription
