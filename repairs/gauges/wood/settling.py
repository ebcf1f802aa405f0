"""How long wood takes to follow the air: why a crack is read again after days, and not at once.

A slab of thickness h whose two faces breathe comes to the moisture of new air as
``E(t) = 1 − Σ 8/((2n+1)²π²)·exp(−(2n+1)²·t/τ)`` with ``τ = h²/(π²·D)`` (Crank, The Mathematics of
Diffusion, 2nd ed. 1975, Eqs 4.18 and 4.20). With one face varnished it is half of a slab of 2h.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.checks import between
from repairs.gauges.base.given import absent, choice
from repairs.gauges.base.plain import maybe
from repairs.gauges.base.registry import Plain

DAY_S = 86_400.0
# Spruce across its grain near 20 °C, by sorption of vapour: radial 0.94, tangential 1.00·10⁻¹⁰ m²/s
# (Sánchez-Ferrer & Engelhardt, Scientific Reports 2026, doi 10.1038/s41598-026-38932-7).
D_ACROSS_M2_S = 1.0e-10
# It grows eightfold from 2.5 to 18 % of moisture (aspen: Simpson, Wood and Fiber), dense wood is
# slower, and so is air that stands still before a face: three times either way.
D_BAND = 3.0
SETTLED = 0.95  # of the way: what is left of a closing of half a millimetre is below a feeler
MOST_THICKNESS_MM = 300.0
TERMS = 60

Faces = Literal["one", "both"]
FACES = ("one", "both")


@dataclass(frozen=True)
class Settling:
    """``tau_days``, and the days until 95 % of the way: likely, at the least and at the most."""

    tau_days: float
    days: float
    least_days: float
    most_days: float


def tau_days(thickness_mm: float, faces: Faces, d_m2_s: float = D_ACROSS_M2_S) -> float:
    """Return ``h²/(π²·D)`` in days; h is the thickness, or twice that where one face breathes.

    Raises GaugeInputError outside 0.1…300 mm.
    """
    thickness = between("thickness_mm", thickness_mm, 0.1, MOST_THICKNESS_MM)
    path_m = thickness / 1e3 * (2.0 if faces == "one" else 1.0)
    return path_m**2 / (math.pi**2 * d_m2_s) / DAY_S


def share_settled(t_days: float, tau: float) -> float:
    """Return how much of the change has come after ``t_days`` (0 at first, 1 at last)."""
    if t_days <= 0.0:
        return 0.0
    odd = (2 * n + 1 for n in range(TERMS))
    return 1.0 - sum(8.0 / (k * math.pi) ** 2 * math.exp(-k * k * t_days / tau) for k in odd)


def days_until(share: float, tau: float) -> float:
    """Return the days after which ``share`` (0.5…1) of the change has come.

    The first term alone: from half of the way on the others are below 0.2 %.
    """
    return tau * math.log(8.0 / (math.pi**2 * (1.0 - share)))


def settling(thickness_mm: float, faces: Faces) -> Settling:
    """Return how long a plate or block of that thickness takes, with the band of D."""
    tau = tau_days(thickness_mm, faces)
    likely = days_until(SETTLED, tau)
    return Settling(tau, likely, likely / D_BAND, likely * D_BAND)


SETTLING_INPUTS = {
    "thickness_mm": "optional: thickness of the wood, mm, for how long it takes to follow the air",
    "faces": "with it, optional: one (the other is varnished, the default) or both breathe",
}


def settling_of(data: Plain) -> Settling | None:
    """How long the wood takes to follow the air, where its thickness is given."""
    faces: Faces = "one"
    if not absent(data, "faces"):
        faces = "both" if choice("faces", data["faces"], FACES) == "both" else "one"
    thickness = maybe(data, "thickness_mm", (0.1, MOST_THICKNESS_MM))
    return None if thickness is None else settling(thickness, faces)
