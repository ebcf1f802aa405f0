"""Wood on the bench: how heavy it is, how stiff by its tap tone, how well it radiates sound."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.given import absent, choice, only
from repairs.gauges.base.plain import maybe, needed, optional, plain
from repairs.gauges.base.propagation import Values, spread
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import Limit
from repairs.gauges.wood.movement import MC_ENDS_PCT, shrinkage_change_mm
from repairs.gauges.wood.species import SPECIES, grain

VERSION = "timber 1"

DENSITY_ENDS = (60.0, 1500.0)  # the lightest balsa and the heaviest lignum vitae
MOST_MM, MOST_G = 3000.0, 50_000.0
SIZES = ("length_mm", "width_mm", "thickness_mm")
U_SIZES_MM = (0.5, 0.1, 0.05)  # steel rule, caliper, caliper (common practice)
# A scale that shows tenths of a gram: enough for a block, not for a cleat.
U_MASS_G = 0.1
U_MC_PCT = 1.0  # pin meter
U_F_HZ = 0.5

# Tone wood is chosen by light weight for its stiffness, √(E/ρ³); how much of it is good depends on
# the plan, and on the ear of the maker.
# No figure for tone wood has a published limit; the house may set its own.
DEFAULT_LIMITS: dict[str, Limit] = {
    "density_kg_m3": Limit(None, None, "kg/m³"),
    "radiation": Limit(None, None, "m⁴/(kg·s)"),
}

FIRST_ROOT = 4.730040744862704  # first root of cos x · cosh x = 1
# Held anywhere else, the hand damps the tone and draws its pitch.
NODE_SHARE = 0.224158  # nodes of the first mode of a free bar, as a share of its length


TapNote = Literal["thick_for_its_length", "wide_for_its_length", "taller_than_wide"]


@dataclass(frozen=True)
class Density:
    """Density as weighed and, where the moisture is known, at 12 % moisture; kg/m³."""

    density_kg_m3: float
    u_density_kg_m3: float
    mc_pct: float | None
    at_12_kg_m3: float | None
    u_at_12_kg_m3: float | None


def density_from_gravity(gravity: float, mc_pct: float) -> float:
    """Return kg/m³ from specific gravity on the volume at that moisture: ``1000·G·(1 + M/100)``.

    Source: Wood Handbook, FPL-GTR-190 (2010), ch. 4 (from memory).
    """
    g = positive("gravity", gravity, most=1.5)
    # Gravity in tables is oven-dry mass over the volume as it is: the water is still to be added.
    return 1000.0 * g * (1.0 + between("mc_pct", mc_pct, *MC_ENDS_PCT) / 100.0)


def density(
    mass_g: float,
    sizes_mm: tuple[float, float, float],
    *,
    u_mass_g: float = U_MASS_G,
    u_sizes_mm: tuple[float, float, float] = U_SIZES_MM,
) -> tuple[float, float]:
    """Return density of a block in kg/m³ and its standard uncertainty: ``1e6·m/(L·b·t)``.

    Relative uncertainties add in squares (JCGM 100:2008, 5.1.6). Raises GaugeInputError when a
    size is not positive or the result is no wood (60…1500 kg/m³), which mostly is a wrong unit.
    """
    mass = positive("mass_g", mass_g, most=MOST_G)
    sizes = [positive(n, s, most=MOST_MM) for n, s in zip(SIZES, sizes_mm, strict=True)]
    result = between("density_kg_m3", 1e6 * mass / math.prod(sizes), *DENSITY_ENDS)
    # The thinnest size decides: a tenth of a millimetre on 3 mm is 3 %.
    shares = [u_mass_g / mass, *(u / s for u, s in zip(u_sizes_mm, sizes, strict=True))]
    return result, result * math.hypot(*shares)


def density_at(density_kg_m3: float, from_mc_pct: float, to_mc_pct: float, s_v_pct: float) -> float:
    """Return the density at another moisture, kg/m³.

    Mass follows ``(1 + M₂/100)/(1 + M₁/100)``, volume follows Eq. 13-3 with the volumetric
    shrinkage ``s_v_pct``, moisture capped at 30 %.
    """
    rho = between("density_kg_m3", density_kg_m3, *DENSITY_ENDS)
    first, last = (
        between("from_mc_pct", from_mc_pct, *MC_ENDS_PCT),
        between("to_mc_pct", to_mc_pct, *MC_ENDS_PCT),
    )
    # Volume moves by the same law as width, with its own shrinkage: the Handbook prints all three.
    swelling = 1.0 + shrinkage_change_mm(1.0, s_v_pct, first, last)
    return rho * (1.0 + last / 100.0) / (1.0 + first / 100.0) / swelling


@dataclass(frozen=True)
class TapTone:
    """What the first bending tone of a free strip tells.

    ``e_gpa`` stiffness along the strip, ``speed_m_s`` of sound √(E/ρ), ``radiation`` ratio
    √(E/ρ³) in m⁴/(kg·s), ``node_mm`` where to hold it, from each end. ``shear_pct`` is how much
    E would be low by shear that a slender bar neglects; it is in the uncertainty.
    """

    e_gpa: float
    u_e_gpa: float
    density_kg_m3: float
    u_density_kg_m3: float
    speed_m_s: float
    u_speed_m_s: float
    radiation: float
    u_radiation: float
    node_mm: float
    shear_pct: float
    notes: tuple[TapNote, ...]


def stiffness_gpa(
    f_hz: float, density_kg_m3: float, length_mm: float, thickness_mm: float
) -> float:
    """Return Young's modulus in GPa from the first bending tone of a free, slender strip.

    Euler–Bernoulli: ``E·I·w'''' = ρ·A·ω²·w`` with free ends gives ``ω = (β²/L²)·√(E·I/(ρ·A))``,
    β = 4.730 the first root of cos·cosh = 1, and ``I/A = t²/12`` for a rectangle, hence
    ``E = 48·π²·ρ·L⁴·f²/(β⁴·t²)``. Source: Fletcher & Rossing, The Physics of Musical Instruments,
    ch. 2. Same as ASTM E1876 ``E = 0.9465·(m·f²/b)·(L³/t³)`` without its shear term (from memory).
    """
    length_m, thickness_m = length_mm / 1e3, thickness_mm / 1e3
    free = 48.0 * math.pi**2 / FIRST_ROOT**4
    return free * density_kg_m3 * length_m**4 * f_hz**2 / thickness_m**2 / 1e9


def tap_tone(
    f_hz: float,
    mass_g: float,
    sizes_mm: tuple[float, float, float],
    *,
    u_f_hz: float = U_F_HZ,
    u_mass_g: float = U_MASS_G,
    u_sizes_mm: tuple[float, float, float] = U_SIZES_MM,
) -> TapTone:
    """Return stiffness, speed of sound and radiation ratio of a strip, with uncertainties.

    ``sizes_mm``: length, width, thickness. The strip is held or laid at its nodes and tapped in
    the middle. Shear: E is low by about 26·(t/L)² for wood along the grain with E/G = 17 (Goens
    1931, from memory). Raises GaugeInputError for a strip under 10 times as long as thick.
    """
    f = between("f_hz", f_hz, 1.0, 20_000.0)
    rho, u_rho = density(mass_g, sizes_mm, u_mass_g=u_mass_g, u_sizes_mm=u_sizes_mm)
    length, width, thickness = sizes_mm
    between("thickness_mm", thickness, 0.0, length / 10.0)
    shear = 26.0 * (thickness / length) ** 2
    values = {"f": f, "mass": mass_g, **dict(zip("Lbt", sizes_mm, strict=True)), "shear": 1.0}
    us = {"f": u_f_hz, "mass": u_mass_g, **dict(zip("Lbt", u_sizes_mm, strict=True))}
    us["shear"] = shear / math.sqrt(3.0)
    e, speed, radiation = _elastic(values)
    u_e, u_speed, u_radiation = (
        spread(lambda v, i=i: _elastic(v)[i], values, us)  # type: ignore[misc]
        for i in range(3)
    )
    return TapTone(
        between("e_gpa", e, 0.02, 60.0),
        u_e,
        rho,
        u_rho,
        speed,
        u_speed,
        radiation,
        u_radiation,
        NODE_SHARE * length,
        100.0 * shear,
        _tap_notes(length, width, thickness),
    )


def _elastic(v: Values) -> tuple[float, float, float]:
    """E in GPa, √(E/ρ) in m/s, √(E/ρ³) in m⁴/(kg·s), of mass in g and sizes in mm."""
    rho = 1e6 * v["mass"] / (v["L"] * v["b"] * v["t"])
    e = v["shear"] * stiffness_gpa(v["f"], rho, v["L"], v["t"])
    return e, math.sqrt(1e9 * e / rho), math.sqrt(1e9 * e / rho**3)


def _tap_notes(length: float, width: float, thickness: float) -> tuple[TapNote, ...]:
    notes: list[TapNote] = []
    if length < 25.0 * thickness:
        notes.append("thick_for_its_length")
    if width > length / 2.0:
        notes.append("wide_for_its_length")
    if thickness > width:
        notes.append("taller_than_wide")
    return tuple(notes)


_BLOCK_INPUTS = {
    "mass_g": "mass, g",
    "length_mm": "length, mm",
    "width_mm": "width, mm",
    "thickness_mm": "thickness, mm",
    "u_mass_g": "optional: standard uncertainty, g",
    "u_length_mm": "optional: standard uncertainty, mm",
    "u_width_mm": "optional: standard uncertainty, mm",
    "u_thickness_mm": "optional: standard uncertainty, mm",
}
_DENSITY_INPUTS = {
    **_BLOCK_INPUTS,
    "mc_pct": "optional: moisture when weighed, % of the dry mass",
    "u_mc_pct": "optional: standard uncertainty of the moisture, %",
    "species": "optional: name of the wood, for its shrinkage",
}
_TAP_INPUTS = {
    **_BLOCK_INPUTS,
    "f_hz": "first bending tone of the strip held at its nodes, Hz",
    "u_f_hz": "optional: standard uncertainty, Hz",
}


def _block(data: Plain) -> dict[str, Any]:
    """Mass and sizes of plain data as the keywords of ``density`` and ``tap_tone``."""
    sizes = tuple(positive(n, data.get(n), most=MOST_MM) for n in SIZES)
    u_sizes = tuple(
        optional(data, f"u_{n}", u, (0.0, 100.0)) for n, u in zip(SIZES, U_SIZES_MM, strict=True)
    )
    return {
        "mass_g": positive("mass_g", data.get("mass_g"), most=MOST_G),
        "sizes_mm": sizes,
        "u_mass_g": optional(data, "u_mass_g", U_MASS_G, (0.0, 1000.0)),
        "u_sizes_mm": u_sizes,
    }


def _run_density(data: Plain) -> dict[str, Any]:
    only(data, _DENSITY_INPUTS)
    rho, u_rho = density(**_block(data))
    mc_pct = maybe(data, "mc_pct", MC_ENDS_PCT)
    at_12 = u_at_12 = None
    if mc_pct is not None and not absent(data, "species"):
        s_v_pct = volume_shrinkage(data["species"])
        values = {"rho": rho, "mc": mc_pct}
        us = {"rho": u_rho, "mc": optional(data, "u_mc_pct", U_MC_PCT, (0.0, 30.0))}

        def law(v: Mapping[str, float]) -> float:
            return density_at(v["rho"], v["mc"], 12.0, s_v_pct)

        at_12, u_at_12 = law(values), spread(law, values, us)
    return plain(Density(rho, u_rho, mc_pct, at_12, u_at_12))


def volume_shrinkage(species: str) -> float:
    """Return the volumetric shrinkage in %: as printed, else that of both directions together."""
    wood = SPECIES[choice("species", species, SPECIES)]
    if wood.s_v_pct is not None:
        return wood.s_v_pct
    radial, tangential = (grain(species, way).s_pct for way in ("radial", "tangential"))
    return 100.0 * (1.0 - (1.0 - radial / 100.0) * (1.0 - tangential / 100.0))


def _run_tap(data: Plain) -> dict[str, Any]:
    only(data, _TAP_INPUTS)
    f_hz = needed(data, "f_hz", (1.0, 20_000.0))
    u_f_hz = optional(data, "u_f_hz", U_F_HZ, (0.0, 1000.0))
    return plain(tap_tone(f_hz, **_block(data), u_f_hz=u_f_hz))


register(
    Gauge("density", VERSION, "Density of a block from its mass.", _DENSITY_INPUTS, _run_density)
)
register(Gauge("tap_tone", VERSION, "Stiffness and radiation by tap tone.", _TAP_INPUTS, _run_tap))
