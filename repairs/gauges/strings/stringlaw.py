"""The laws of a taut string, each in one line: lengths in mm, masses in g/m, forces in N.

These take finite, positive floats and do not check them: ``strings`` and ``stringset`` check what
people type before they call here.
"""

from __future__ import annotations

import math

from repairs.gauges.strings.materials import GUT_KG_M3

G_M_S2 = 9.80665
# 1000·√(g/(π·1300)) is 49.002: the workshop's number hides the density of gut, 1300 kg/m³. The
# printed example, 440 Hz × 0.50 m × d = 49·√5, gives 0.498 mm.
SATOH = 49.0


def mass_g_m(diameter_mm: float, density_kg_m3: float) -> float:
    """Return the mass per length in g/m of a round string: ρ·π·d²/4."""
    return density_kg_m3 * math.pi * diameter_mm**2 / 4.0 * 1e-3


def diameter_mm(mass: float, density_kg_m3: float) -> float:
    """Return the diameter in mm of a round string that weighs ``mass`` g/m."""
    return math.sqrt(4.0 * mass / (math.pi * density_kg_m3) * 1e3)


def density_kg_m3(mass: float, diameter: float) -> float:
    """Return the density of a round string of ``mass`` g/m and ``diameter`` mm."""
    return 4.0 * mass / (math.pi * diameter**2) * 1e3


def tension_n(length_mm: float, pitch_hz: float, mass: float) -> float:
    """Return the tension in N of a string sounding its fundamental: μ·(2·L·f)².

    Stiffness is neglected. Source: Mersenne's law (Mersenne–Taylor).
    """
    return mass * 1e-3 * (2.0 * length_mm * 1e-3 * pitch_hz) ** 2


def length_mm(tension: float, pitch_hz: float, mass: float) -> float:
    """Return the speaking length in mm: √(T/μ)/(2·f). Source: Mersenne's law."""
    return math.sqrt(tension / (mass * 1e-3)) / (2.0 * pitch_hz) * 1e3


def pitch_hz(tension: float, length: float, mass: float) -> float:
    """Return the pitch in Hz: √(T/μ)/(2·L). Source: Mersenne's law."""
    return math.sqrt(tension / (mass * 1e-3)) / (2.0 * length * 1e-3)


def mass_for_g_m(tension: float, length: float, pitch: float) -> float:
    """Return the mass in g/m that gives the tension: T/(2·L·f)². Source: Mersenne's law."""
    return tension / (2.0 * length * 1e-3 * pitch) ** 2 * 1e3


def satoh_diameter_mm(tension: float, length: float, pitch: float) -> float:
    """Return the gut diameter in mm by Satoh's workshop form, f·L·d = 49·√k (k in kgf, L in m).

    Source: Satoh, as printed in D. Larson, Calculating String Diameters, part 2.
    """
    return SATOH * math.sqrt(tension / G_M_S2) / (pitch * length * 1e-3)


def gut_equivalent_mm(mass: float) -> float:
    """Return the diameter in mm of the plain gut string (1300 kg/m³) that weighs ``mass`` g/m."""
    return diameter_mm(mass, GUT_KG_M3)


def stress_mpa(tension: float, diameter: float) -> float:
    """Return the stress in MPa of a round string (or core): 4·T/(π·d²)."""
    return 4.0 * tension / (math.pi * diameter**2)


def semitones_to_breaking(stress: float, breaking: float) -> float:
    """Return how many semitones the string can be tuned up before it breaks: 6·log₂(σ_b/σ)."""
    # Stress grows with the square of the pitch, so an octave of pitch is four times the stress: six
    # semitones for each doubling.
    return 6.0 * math.log2(breaking / stress)


def downforce_n(tension: float, speaking_deg: float, after_deg: float) -> float:
    """Return the force in N of one string on its bridge: T·(sin α + sin β).

    α and β are the angles of the speaking length and of the afterlength to the plane that touches
    the bridge's top, downwards positive. Source: statics.
    """
    # Of equal angles this is 2·T·sin(θ/2). On a wheel fiddle the two differ, so that both are asked
    # for.
    return tension * (math.sin(math.radians(speaking_deg)) + math.sin(math.radians(after_deg)))


def stiffness_b(diameter: float, tension: float, length: float, youngs_gpa: float) -> float:
    """Return the inharmonicity B of a round plain string: π³·E·d⁴/(64·T·L²).

    Source: Fletcher 1964; Fletcher and Rossing, The Physics of Musical Instruments (from memory).
    """
    d, length_m = diameter * 1e-3, length * 1e-3
    return math.pi**3 * youngs_gpa * 1e9 * d**4 / (64.0 * tension * length_m**2)


def partial_ratio(n: int, b: float) -> float:
    """Return partial ``n`` over the first partial: n·√((1 + B·n²)/(1 + B)). Source: as for B."""
    # Against the first partial as it sounds and not as it would without stiffness: the tuner's
    # needle knows only the former.
    return n * math.sqrt((1.0 + b * n * n) / (1.0 + b))
