"""What the fits of one turn hold: harmonics, the least-squares circle, all of them together."""

from __future__ import annotations

import math
from dataclasses import dataclass

from repairs.gauges.wheel.roundness import Touch


@dataclass(frozen=True, slots=True)
class Harmonic:
    """One harmonic: amplitude (zero to peak) and the angle of a high spot, each with its u.

    ``u_high_deg`` never exceeds half of the distance between two high spots: then the angle is
    not known at all.
    """

    order: int
    amp_mm: float
    u_amp_mm: float
    high_deg: float
    u_high_deg: float


@dataclass(frozen=True, slots=True)
class LeastSquares:
    """The plain least-squares circle: its offset as a harmonic, and the roundness about it.

    RONp ``peak_mm``, RONv ``valley_mm``, RONq ``rms_mm`` and RONt ``roundness_mm``.
    """

    offset: Harmonic
    peak_mm: float
    valley_mm: float
    rms_mm: float
    u_roundness_mm: float

    @property
    def roundness_mm(self) -> float:
        """RONt about the least-squares circle, mm: peak to valley (ISO 12181-1)."""
        return self.peak_mm + self.valley_mm


@dataclass(frozen=True, slots=True)
class WheelFit:
    """Figures of one turn, in mm; radii are counted from ``mean_mm``, the mean of the readings.

    ``joint`` holds the harmonics 1 to at most 3 of the joint fit, ``lobes`` those from 3 upwards
    of the longest fit that the readings carry. ``residual_mm`` is the root mean square (by
    degrees of freedom) of what the joint fit leaves; None without a degree of freedom.
    ``noise_mm`` is the noise used, ``spread`` how many times surer the same number of readings
    would be in even steps. ``inner`` and ``outer`` are None when half of the turn has no reading.
    """

    count: int
    mean_mm: float
    least_mm: float
    most_mm: float
    joint: tuple[Harmonic, ...]
    lobes: tuple[Harmonic, ...]
    residual_mm: float | None
    noise_mm: float
    spread: float
    lsc: LeastSquares
    zone: Touch
    inner: Touch | None
    outer: Touch | None

    @property
    def tir_mm(self) -> float:
        """Total indicator reading of the turn."""
        return self.most_mm - self.least_mm

    @property
    def u_tir_mm(self) -> float:
        """Of the difference of two independent readings."""
        return math.sqrt(2) * self.noise_mm

    @property
    def u_mz_roundness_mm(self) -> float:
        """Standard uncertainty of RONt(MZCI), mm: the noise of the four readings that hold it."""
        return 2 * self.noise_mm * self.zone.noise_gain
