"""Glued joints: cleats across a crack, force for an area, and whether to glue or to splint."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, limits, only, rows
from repairs.gauges.base.plain import maybe, needed, optional, plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit, Verdict, judge
from repairs.gauges.wood.moisture import TOO_DAMP_PCT
from repairs.gauges.wood.movement import (
    MOST_WIDTH_MM,
    U_GAP_MM,
    Air,
    CrackClosing,
    air_of,
    crack_closing,
)
from repairs.gauges.wood.species import WOOD_INPUTS, Grain, grain_of

VERSION = "joints 1"

DEFAULT_LIMITS: dict[str, Limit] = {
    "cleat_spacing_mm": Limit(40.0, 60.0, "mm"),
    "cleat_size_mm": Limit(8.0, 12.0, "mm"),
    "cleat_thickness_mm": Limit(1.5, 2.3, "mm"),
    # Hide glue fills next to nothing: an edge further off than this is no closed crack.
    "glue_line_mm": Limit(None, 0.1, "mm"),
}
MOST_CRACK_MM = 2000.0
KPA_PER_PSI = 6.894757
NEWTON_PER_KGF = 9.80665
HANDBOOK_10 = "Wood Handbook, FPL-GTR-190 (2010), ch. 10 (from memory)"
PRESSURES_MPA: dict[str, tuple[float, float, str]] = {
    "light": (0.7, 1.0, HANDBOOK_10),
    "dense": (1.2, 1.7, HANDBOOK_10 + "; hardwood 175–250 psi by a maker of glue"),
    "contact": (0.0, 0.1, COMMON_PRACTICE + ": a crack is brought to contact and not starved"),
}


@dataclass(frozen=True)
class Bar:
    """A bar that crosses the crack: its middle from the start of the crack, and its width; mm."""

    at_mm: float
    width_mm: float


@dataclass(frozen=True)
class Cleats:
    """Middles of the cleats from the start of the crack, mm; each lies wholly on the crack.

    ``spacing_mm`` is the widest step from support to support, bars counted. Notes: ``short``
    (one cleat in the middle), ``closer`` (steps under the range, because one less would be
    wider than it), ``bar_instead`` (a bar stands where a cleat would).
    """

    count: int
    places_mm: tuple[float, ...]
    spacing_mm: float | None
    size_mm: float
    thickness_mm: float
    notes: tuple[str, ...]


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


Deed = Literal["glue", "splint", "bring_to_target_and_measure_again", "not_judged"]


@dataclass(frozen=True)
class CrackJoint:
    """Glue or splint, by what stays open once the wood has settled in its home air.

    ``splint_mm`` is the width of the splint at that moisture, before it is fitted. ``notes``:
    ``closes_only_damp`` (over 75 % RH), ``never_closes``, ``would_press`` (gluing it shut in damp
    air and drying it would pull at the joint), ``dry_it`` (the crack opens in the new air).
    """

    deed: Deed
    left_mm: float
    u_left_mm: float
    verdict: Verdict
    splint_mm: float | None
    closing: CrackClosing
    notes: tuple[str, ...]


def kpa_from_psi(psi: float) -> float:
    """Return kPa from pounds per square inch: ``6.894757·psi``, by definition of the units."""
    return KPA_PER_PSI * between("psi", psi, 0.0, 100_000.0)


def cleats(
    crack_mm: float,
    *,
    bars: tuple[Bar, ...] = (),
    size_mm: float = 10.0,
    thickness_mm: float = 2.0,
    spacing: Limit = DEFAULT_LIMITS["cleat_spacing_mm"],
) -> Cleats:
    """Return how many cleats hold a crack of ``crack_mm``, and where.

    One at each end, its outer edge at the end of the crack, and between them steps of 40 to 60 mm
    from middle to middle, as near to the middle of that range as whole numbers allow; a bar that
    crosses the crack holds it as a cleat does. Source: common practice.
    """
    crack = positive("crack_mm", crack_mm, most=MOST_CRACK_MM)
    size = between("size_mm", size_mm, 3.0, 50.0)
    half = size / 2.0
    if crack < 2.0 * size:
        return Cleats(1, (crack / 2.0,), None, size, thickness_mm, ("short",))
    held = sorted(bars, key=lambda bar: bar.at_mm)
    touching = [
        end
        for end in (half, crack - half)
        if any(abs(bar.at_mm - end) < (bar.width_mm + size) / 2.0 for bar in held)
    ]
    ends = [end for end in (half, crack - half) if end not in touching]
    supports = sorted([*ends, *(bar.at_mm for bar in held)])
    between_them: list[float] = []
    steps: list[float] = []
    for first, last in pairwise(supports):
        count = _steps(last - first, spacing)
        step = (last - first) / count
        steps.append(step)
        between_them += [first + step * n for n in range(1, count)]
    places = tuple(sorted([*ends, *between_them]))
    notes = ["bar_instead"] if touching else []
    if spacing.lower is not None and between_them and min(steps) < spacing.lower - 1e-9:
        notes.append("closer")
    return Cleats(len(places), places, max(steps, default=None), size, thickness_mm, tuple(notes))


def _steps(span_mm: float, spacing: Limit) -> int:
    """In how many steps to divide a span, so that each is in the range, or else under it."""
    upper = spacing.upper or 60.0
    lower = spacing.lower or upper
    least = max(1, math.ceil(span_mm / upper - 1e-9))
    wanted = round(span_mm / ((lower + upper) / 2.0))
    most = math.floor(span_mm / lower + 1e-9)
    return max(least, min(wanted, most))


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


def crack_joint(
    gap_mm: float,
    width_mm: float,
    wood: Grain,
    air: Air,
    *,
    u_gap_mm: float = U_GAP_MM,
    limit: Limit | None = DEFAULT_LIMITS["glue_line_mm"],
) -> CrackJoint:
    """Return whether a crack is glued shut or splinted, once settled in the air of ``air.to_…``.

    What is left open is the gap less the computed closing (Eqs 4-5, 13-2, 13-3). Surely under the
    glue line: glue. Surely over it: splint. Between: bring the wood to its home air and measure.
    """
    closing = crack_closing(width_mm, wood, air, gap_mm=gap_mm, u_gap_mm=u_gap_mm)
    left, u_left = closing.left_mm or 0.0, closing.u_left_mm
    verdict = judge(left, u_left, limit)
    deeds: dict[str, Deed] = {"inside": "glue", "outside": "splint", "not_judged": "not_judged"}
    notes = []
    if closing.rh_to_close_pct is None:
        notes.append("never_closes")
    elif closing.rh_to_close_pct > TOO_DAMP_PCT:
        notes.append("closes_only_damp")
    if left < 0 and verdict.word == "inside":
        notes.append("would_press")
    if closing.closing_mm < 0:
        notes.append("dry_it")
    return CrackJoint(
        deeds.get(verdict.word, "bring_to_target_and_measure_again"),
        left,
        u_left or 0.0,
        verdict,
        left if verdict.word == "outside" else None,
        closing,
        tuple(notes),
    )


_CLEAT_INPUTS = {
    "crack_mm": "length of the crack, mm",
    "bars": "optional: list of bars across the crack, each at_mm and width_mm",
    "size_mm": "optional: size of a cleat along the crack, mm; 10 when left out",
    "thickness_mm": "optional: thickness of a cleat, mm; 2 when left out",
    "limits": "optional: house limits cleat_spacing_mm, cleat_size_mm, cleat_thickness_mm",
}
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
_JOINT_INPUTS = {
    "gap_mm": "width of the crack now, mm",
    "u_gap_mm": "optional: standard uncertainty, mm",
    "width_mm": "width of the wood whose movement closes the crack, mm",
    "t_c": "temperature, °C",
    "to_t_c": "optional: temperature at home, °C; the same when left out",
    "from_rh_pct": "humidity in which it has settled, %",
    "to_rh_pct": "humidity of its home, %",
    "u_rh_pct": "optional: standard uncertainty of the hygrometer, %",
    "limits": "optional: house limit glue_line_mm",
    **WOOD_INPUTS,
}


def _run_cleats(data: Plain) -> dict[str, Any]:
    only(data, _CLEAT_INPUTS)
    held_to = limits(data, DEFAULT_LIMITS)
    crack = positive("crack_mm", data.get("crack_mm"), most=MOST_CRACK_MM)
    bars = []
    for row, bar in enumerate(rows("bars", data.get("bars") or [], least=0, most=50), 1):
        only(bar, ("at_mm", "width_mm"), field="bars", row=row)
        at_mm = needed(bar, "at_mm", (0.0, crack), row=row)
        bars.append(Bar(at_mm, needed(bar, "width_mm", (0.5, 100.0), row=row)))
    found = cleats(
        crack,
        bars=tuple(bars),
        size_mm=optional(data, "size_mm", 10.0, (3.0, 50.0)),
        thickness_mm=optional(data, "thickness_mm", 2.0, (0.3, 10.0)),
        spacing=held_to["cleat_spacing_mm"],
    )
    verdicts = {
        "size_mm": judge(found.size_mm, 0.0, held_to["cleat_size_mm"]),
        "thickness_mm": judge(found.thickness_mm, 0.0, held_to["cleat_thickness_mm"]),
    }
    return {**plain(found), "grain": "across_the_crack", "verdicts": plain(verdicts)}


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


def _run_joint(data: Plain) -> dict[str, Any]:
    only(data, _JOINT_INPUTS)
    joint = crack_joint(
        needed(data, "gap_mm", (0.0, 50.0)),
        needed(data, "width_mm", (1.0, MOST_WIDTH_MM)),
        grain_of(data),
        air_of(data),
        u_gap_mm=optional(data, "u_gap_mm", U_GAP_MM, (0.0, 10.0)),
        limit=limits(data, DEFAULT_LIMITS)["glue_line_mm"],
    )
    return plain(joint)


register(Gauge("cleats", VERSION, "Cleats across a crack.", _CLEAT_INPUTS, _run_cleats))
register(Gauge("clamp", VERSION, "Force for a glued area.", _CLAMP_INPUTS, _run_clamp))
register(Gauge("crack_joint", VERSION, "Glue or splint.", _JOINT_INPUTS, _run_joint))
