"""One string: tension from pitch, length and mass, every inversion, and its safety.

Of tension, length, pitch and mass per length exactly one is left out, and that one is computed.
The mass may be given as such, or as diameter with density or material; when it is the mass that is
left out, a known density gives the diameter and a known diameter gives the density.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.given import limits, only
from repairs.gauges.base.plain import plain
from repairs.gauges.base.propagation import Values, spread
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import Limit, Verdict, judge
from repairs.gauges.strings import stringlaw as law
from repairs.gauges.strings.materials import MATERIALS
from repairs.gauges.strings.spec import MOST, StringSpec, quantity, read_string

VERSION = "strings 1"

# Gut speaks best high in its strength, but it frays over the wheel and swells in damp air: two
# semitones below breaking are left as the room for that.
DEFAULT_LIMITS: Mapping[str, Limit] = {
    "semitones_to_breaking": Limit(
        2.0, None, "semitones", "common practice: strings stand one to three semitones below"
    ),
}


@dataclass(frozen=True)
class StringResult:
    """All that follows for one string; a stress or a diameter that nothing gives is None.

    ``assumed`` names the uncertainties that were not given and were taken from the house's habit.
    """

    computed: str
    tension_n: float
    u_tension_n: float
    tension_kgf: float
    length_mm: float
    u_length_mm: float
    pitch_hz: float
    u_pitch_hz: float
    mass_g_m: float
    u_mass_g_m: float
    diameter_mm: float | None
    u_diameter_mm: float | None
    density_kg_m3: float | None
    u_density_kg_m3: float | None
    gut_equivalent_mm: float
    u_gut_equivalent_mm: float
    stress_mpa: float | None
    u_stress_mpa: float | None
    breaking_mpa: float | None
    breaking_pitch_hz: float | None
    semitones_to_breaking: float | None
    u_semitones_to_breaking: float | None
    safety: Verdict | None
    assumed: tuple[str, ...]


def solve(
    spec: StringSpec, house: Mapping[str, Limit] = DEFAULT_LIMITS, *, row: int | None = None
) -> StringResult:
    """Return everything that follows from what is known of one string.

    Raises GaugeInputError ``too_small`` or ``too_big``, naming the computed quantity, when the
    answer is beyond anything that can be made. ``row`` is the string's place in a set.
    Source: Mersenne's law; uncertainties by JCGM 100:2008, 5.1.2.
    """
    full = complete(spec.values)
    for name in MOST:
        if name in full:
            quantity(name, full[name], row=row)
    figures: dict[str, Any] = dict.fromkeys((*MOST, "gut_equivalent_mm"))
    for name in list(figures):
        figures[f"u_{name}"] = None
        if name in full:
            figures[name] = full[name]
            given = name in spec.values
            figures[f"u_{name}"] = (
                spec.us[name] if given else spread(_one(name), spec.values, spec.us)
            )
    return StringResult(
        computed=spec.computed,
        tension_kgf=full["tension_n"] / law.G_M_S2,
        assumed=spec.assumed,
        **figures,
        **_strength(spec, full, house),
    )


def _one(name: str) -> Callable[[Values], float]:
    """The law that answers with one quantity of the whole."""
    return lambda values: complete(values)[name]


def complete(values: Mapping[str, float]) -> dict[str, float]:
    """Fill in what one string's known quantities leave out (names as in ``MOST``)."""
    full = dict(values)
    if "mass_g_m" not in full and "diameter_mm" in full and "density_kg_m3" in full:
        full["mass_g_m"] = law.mass_g_m(full["diameter_mm"], full["density_kg_m3"])
    if "mass_g_m" not in full:
        full["mass_g_m"] = law.mass_for_g_m(full["tension_n"], full["length_mm"], full["pitch_hz"])
    mass = full["mass_g_m"]
    if "tension_n" not in full:
        full["tension_n"] = law.tension_n(full["length_mm"], full["pitch_hz"], mass)
    if "length_mm" not in full:
        full["length_mm"] = law.length_mm(full["tension_n"], full["pitch_hz"], mass)
    if "pitch_hz" not in full:
        full["pitch_hz"] = law.pitch_hz(full["tension_n"], full["length_mm"], mass)
    if "diameter_mm" not in full and "density_kg_m3" in full:
        full["diameter_mm"] = law.diameter_mm(mass, full["density_kg_m3"])
    if "density_kg_m3" not in full and "diameter_mm" in full:
        full["density_kg_m3"] = law.density_kg_m3(mass, full["diameter_mm"])
    full["gut_equivalent_mm"] = law.gut_equivalent_mm(mass)
    return full


def _strength(
    spec: StringSpec, full: Mapping[str, float], house: Mapping[str, Limit]
) -> dict[str, Any]:
    """The stress of the part that carries the load, and how far below breaking it is tuned."""
    names = ("stress_mpa", "u_stress_mpa", "breaking_mpa", "breaking_pitch_hz")
    found: dict[str, Any] = dict.fromkeys(
        (*names, "semitones_to_breaking", "u_semitones_to_breaking", "safety")
    )
    round_plain = spec.core is None or not spec.core.wound
    if spec.core_mm is None and not (round_plain and "diameter_mm" in full):
        return found

    def stress(values: Mapping[str, float]) -> float:
        done = complete({k: v for k, v in values.items() if k != "breaking_mpa"})
        return law.stress_mpa(done["tension_n"], spec.core_mm or done["diameter_mm"])

    found["stress_mpa"] = stress(spec.values)
    found["u_stress_mpa"] = spread(stress, spec.values, spec.us)
    if spec.core is None or spec.core.breaking_mpa is None:
        return found
    values = {**spec.values, "breaking_mpa": spec.core.breaking_mpa}
    us = {**spec.us, "breaking_mpa": spec.core.u_breaking_mpa}

    def left(given: Mapping[str, float]) -> float:
        return law.semitones_to_breaking(stress(given), given["breaking_mpa"])

    semitones, u = left(values), spread(left, values, us)
    found |= {
        "breaking_mpa": spec.core.breaking_mpa,
        "breaking_pitch_hz": full["pitch_hz"] * 2.0 ** (semitones / 12.0),
        "semitones_to_breaking": semitones,
        "u_semitones_to_breaking": u,
        "safety": judge(semitones, u, house.get("semitones_to_breaking")),
    }
    return found


_U = {f"u_{name}": f"standard uncertainty of {name}, optional" for name in MOST}
INPUTS = {
    "length_mm": "speaking length from nut to bridge, mm",
    "pitch_hz": "pitch of the open string, Hz",
    "tension_n": "tension, N; leave out exactly one of the quantities: it is computed",
    "diameter_mm": "diameter, mm; of a wound string the gut-equivalent diameter",
    "density_kg_m3": "density, kg/m³; optional when material or mass_g_m is given",
    "material": f"one of {', '.join(MATERIALS)}, optional",
    "mass_g_m": "mass per length, g/m; optional, instead of diameter_mm and density_kg_m3",
    "core_material": "material of a wound string's core, optional: for its safety",
    "core_mm": "diameter of a wound string's core, mm, optional: for its safety",
    **_U,
}


def run_string(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: see ``INPUTS`` and ``StringResult``."""
    only(given, (*INPUTS, "limits"))
    return plain(solve(read_string(given), limits(given, DEFAULT_LIMITS)))


GAUGE = register(
    Gauge(
        "string",
        VERSION,
        "Tension of a string from pitch, length and mass, every inversion, and its safety.",
        {**INPUTS, "limits": "own limits by name, optional"},
        run_string,
    )
)
