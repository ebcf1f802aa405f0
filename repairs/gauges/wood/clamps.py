"""Force for a glued area: which pressure, how many clamps."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, only
from repairs.gauges.base.plain import maybe, needed, optional, plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import COMMON_PRACTICE
from repairs.gauges.wood.joint_limits import VERSION

# Makers of glue and clamps print lbf/in².
KPA_PER_PSI = 6.894757


NEWTON_PER_KGF = 9.80665


HANDBOOK_10 = "Wood Handbook, FPL-GTR-190 (2010), ch. 10 (from memory)"


# Enough to bring wood to wood: more squeezes the glue out, and a joint without glue is starved.
# A crack in a plate is only brought to contact, for the plate would bend before it closed.
PRESSURES_MPA: dict[str, tuple[float, float, str]] = {
    "light": (0.7, 1.0, HANDBOOK_10),
    "dense": (1.2, 1.7, HANDBOOK_10 + "; hardwood 175–250 psi by a maker of glue"),
    "contact": (0.0, 0.1, COMMON_PRACTICE + ": a crack is brought to contact and not starved"),
}


@dataclass(frozen=True)
class ClampForce:
    """Force for an area at the least and the most pressure, and the clamps that give it."""

    force_low_n: float
    force_high_n: float
    u_force_low_n: float
    u_force_high_n: float
    force_low_kgf: float
    force_high_kgf: float
    pressure_low_mpa: float
    pressure_high_mpa: float
    clamps: int | None
    source: str


def kpa_from_psi(psi: float) -> float:
    """Return kPa from pounds per square inch: ``6.894757·psi``, by definition of the units."""
    return KPA_PER_PSI * between("psi", psi, 0.0, 100_000.0)


def clamp_force(
    area_mm2: float,
    pressure_mpa: tuple[float, float],
    *,
    u_area_mm2: float = 0.0,
    clamp_n: float | None = None,
    source: str = HANDBOOK_10,
) -> ClampForce:
    """Return the force for a glued area: ``F = p·A`` (N = MPa·mm²), at both ends of a range.

    ``clamp_n`` is what one clamp gives; the clamps are counted for the lower pressure.
    """
    area = positive("area_mm2", area_mm2, most=1e6)
    low, high = (between("pressure_mpa", p, 0.0, 10.0) for p in pressure_mpa)
    if low > high:
        raise GaugeInputError("too_big", field="pressure_mpa", value=low, limit=high)
    count = None
    if clamp_n is not None:
        # A hair less than a whole number of clamps is a whole number: rounding must not ask for one
        # more.
        count = max(1, math.ceil(low * area / positive("clamp_n", clamp_n, most=50_000) - 1e-9))
    return ClampForce(
        low * area,
        high * area,
        low * u_area_mm2,
        high * u_area_mm2,
        low * area / NEWTON_PER_KGF,
        high * area / NEWTON_PER_KGF,
        low,
        high,
        count,
        source,
    )


_CLAMP_INPUTS = {
    "area_mm2": "glued area, mm²",
    "u_area_mm2": "optional: standard uncertainty, mm²",
    "wood": "light, dense, or contact for a crack; or the pressures",
    "pressure_low_mpa": "instead of wood: least pressure, MPa",
    "pressure_high_mpa": "with it: most pressure, MPa; the same when left out",
    "pressure_low_psi": "instead of wood: least pressure, lbf/in²",
    "pressure_high_psi": "with it: most pressure, lbf/in²; the same when left out",
    "clamp_n": "optional: force of one clamp, N",
}


def _run_clamp(data: Plain) -> dict[str, Any]:
    only(data, _CLAMP_INPUTS)
    area = positive("area_mm2", data.get("area_mm2"), most=1e6)
    pressures, source = _pressures(data)
    force = clamp_force(
        area,
        pressures,
        u_area_mm2=optional(data, "u_area_mm2", 0.0, (0.0, area)),
        clamp_n=maybe(data, "clamp_n", (0.1, 50_000.0)),
        source=source,
    )
    return plain(force)


def _pressures(data: Plain) -> tuple[tuple[float, float], str]:
    names = ("wood", "pressure_low_mpa", "pressure_low_psi")
    ways = [name for name in names if not absent(data, name)]
    if len(ways) != 1:
        raise GaugeInputError("needs_one", field=", ".join(names), value=len(ways))
    if ways == ["wood"]:
        low, high, source = PRESSURES_MPA[choice("wood", data["wood"], PRESSURES_MPA)]
        return (low, high), source
    unit = ways[0].rpartition("_")[2]
    scale = KPA_PER_PSI / 1e3 if unit == "psi" else 1.0
    ends = (0.0, 10.0 / scale)
    low = needed(data, f"pressure_low_{unit}", ends)
    high = optional(data, f"pressure_high_{unit}", low, ends)
    between(f"pressure_high_{unit}", high, low, ends[1])
    return (low * scale, high * scale), "typed"


register(Gauge("clamp", VERSION, "Force for a glued area.", _CLAMP_INPUTS, _run_clamp))
