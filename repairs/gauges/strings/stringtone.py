"""What a string's thickness does: inharmonicity, and the gut-equivalent diameter for a tension."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, only
from repairs.gauges.base.plain import plain
from repairs.gauges.base.propagation import spread
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.strings import stringlaw as law
from repairs.gauges.strings.materials import GUT_KG_M3, material
from repairs.gauges.strings.spec import MOST, quantity, uncertainty

VERSION = "stringtone 1"
MOST_PARTIALS = 40


@dataclass(frozen=True)
class Partial:
    """Partial ``n``: how sharp it stands to n times the first, and its pitch if one was given."""

    n: int
    sharp_cents: float
    pitch_hz: float | None


@dataclass(frozen=True)
class Inharmonicity:
    """B of a plain string with its standard uncertainty, and the partials that follow."""

    b: float
    u_b: float
    partials: tuple[Partial, ...]


def inharmonicity(
    values: Mapping[str, float], us: Mapping[str, float], count: int, pitch_hz: float | None
) -> Inharmonicity:
    """Return B and the first ``count`` partials of a round plain string.

    ``values`` holds ``diameter_mm``, ``tension_n``, ``length_mm``, ``youngs_gpa`` (all > 0), and
    ``us`` their standard uncertainties. The first partial is what a tuner reads, so sharpness is
    told against it: 600·log₂((1 + B·n²)/(1 + B)) cents.
    Source: Fletcher 1964; Fletcher and Rossing, ch. 2 (from memory).
    """

    def stiffness(v: Mapping[str, float]) -> float:
        return law.stiffness_b(v["diameter_mm"], v["tension_n"], v["length_mm"], v["youngs_gpa"])

    b = stiffness(values)
    partials = []
    for n in range(1, count + 1):
        ratio = law.partial_ratio(n, b)
        sounding = None if pitch_hz is None else ratio * pitch_hz
        partials.append(Partial(n, 1200.0 * math.log2(ratio / n), sounding))
    return Inharmonicity(b, spread(stiffness, values, us), tuple(partials))


@dataclass(frozen=True)
class Suggestion:
    """A gut-equivalent diameter that can be bought, and the tension that it gives."""

    diameter_mm: float
    tension_n: float


@dataclass(frozen=True)
class Equivalent:
    """The gut-equivalent diameter for a wanted tension, and the workshop form as a check on it."""

    diameter_mm: float
    u_diameter_mm: float
    satoh_mm: float
    tension_n: float
    tension_kgf: float
    suggestions: tuple[Suggestion, ...]


def equivalent(values: Mapping[str, float], us: Mapping[str, float], step_mm: float) -> Equivalent:
    """Return the gut diameter for ``tension_n``, ``length_mm`` and ``pitch_hz`` in ``values``.

    The suggestions are the two sizes below and the two above, in steps of ``step_mm``.
    Raises GaugeInputError ``too_small`` or ``too_big`` for a diameter beyond what is made.
    Source: Mersenne's law with gut of 1300 kg/m³; check by Satoh's form f·L·d = 49·√k.
    """

    def diameter(v: Mapping[str, float]) -> float:
        return law.gut_equivalent_mm(
            law.mass_for_g_m(v["tension_n"], v["length_mm"], v["pitch_hz"])
        )

    tension, length, pitch = values["tension_n"], values["length_mm"], values["pitch_hz"]
    size = quantity("diameter_mm", diameter(values))
    below = math.floor(round(size / step_mm, 9))
    # Gut is sold in steps of 0.02 mm, and the ear decides among neighbours: two on each side.
    sizes = [round((below + i) * step_mm, 6) for i in (-1, 0, 1, 2)]
    suggestions = tuple(
        Suggestion(d, law.tension_n(length, pitch, law.mass_g_m(d, GUT_KG_M3)))
        for d in sizes
        if d > 0
    )
    satoh = law.satoh_diameter_mm(tension, length, pitch)
    kgf = tension / law.G_M_S2
    return Equivalent(size, spread(diameter, values, us), satoh, tension, kgf, suggestions)


def _measured(
    given: Plain, names: tuple[str, ...], defaults: Mapping[str, float]
) -> tuple[dict[str, float], dict[str, float]]:
    """Read positive quantities and their uncertainties; without one, the given share of it."""
    values = {name: quantity(name, given.get(name)) for name in names}
    us = {}
    for name, value in values.items():
        key = f"u_{name}"
        given_u = not absent(given, key)
        us[name] = uncertainty(key, given[key], value) if given_u else defaults.get(name, 0.0)
    return values, us


def run_inharmonicity(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: see ``Inharmonicity``."""
    only(given, INHARMONICITY.inputs)
    names = ("diameter_mm", "tension_n", "length_mm")
    values, us = _measured(given, names, {"diameter_mm": 0.01, "length_mm": 0.5})
    values["youngs_gpa"], us["youngs_gpa"] = youngs(given)
    # Twelve partials reach three and a half octaves above the string.
    count = 12 if absent(given, "partials") else given["partials"]
    count = int(between("partials", count, 1, MOST_PARTIALS))
    pitch = None
    if not absent(given, "pitch_hz"):
        pitch = quantity("pitch_hz", given["pitch_hz"])
    return plain(inharmonicity(values, us, count, pitch))


def youngs(given: Plain) -> tuple[float, float]:
    """Read Young's modulus and its uncertainty in GPa, as such or by ``material``."""
    if not absent(given, "youngs_gpa"):
        value = positive("youngs_gpa", given["youngs_gpa"], most=500.0)
        u = 0.1 * value
        if not absent(given, "u_youngs_gpa"):
            u = uncertainty("u_youngs_gpa", given["u_youngs_gpa"], value)
        return value, u
    if absent(given, "material"):
        raise GaugeInputError("missing", field="youngs_gpa")
    made_of = material("material", given["material"])
    if made_of.youngs_gpa is None:
        raise GaugeInputError("missing", field="youngs_gpa")
    return made_of.youngs_gpa, made_of.u_youngs_gpa


def run_equivalent(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: see ``Equivalent``."""
    only(given, EQUIVALENT.inputs)
    ways = [name for name in ("tension_n", "tension_kgf") if not absent(given, name)]
    if len(ways) != 1:
        raise GaugeInputError("needs_one", field="tension_n, tension_kgf", value=len(ways))
    values, us = _measured(given, ("length_mm", "pitch_hz"), {"length_mm": 0.5})
    if ways[0] == "tension_kgf":
        most = MOST["tension_n"] / law.G_M_S2
        values["tension_n"] = law.G_M_S2 * positive(ways[0], given[ways[0]], most=most)
    else:
        values["tension_n"] = quantity(ways[0], given[ways[0]])
    step = 0.02 if absent(given, "step_mm") else given["step_mm"]
    return plain(equivalent(values, us, between("step_mm", step, 0.001, 0.5)))


INHARMONICITY = register(
    Gauge(
        "inharmonicity",
        VERSION,
        "Stiffness of a plain string: B, and how sharp its partials stand.",
        {
            "diameter_mm": "diameter, mm",
            "tension_n": "tension, N",
            "length_mm": "speaking length, mm",
            "youngs_gpa": "Young's modulus, GPa; or material",
            "material": "material of the string, optional: instead of youngs_gpa",
            "pitch_hz": "pitch of the first partial, Hz, optional",
            "partials": "how many partials, optional (12)",
            "u_diameter_mm": "standard uncertainty, optional (0.01)",
            "u_tension_n": "standard uncertainty, optional (0)",
            "u_length_mm": "standard uncertainty, optional (0.5)",
            "u_youngs_gpa": "standard uncertainty, optional (a tenth, or the material's)",
        },
        run_inharmonicity,
    )
)
EQUIVALENT = register(
    Gauge(
        "equivalent_diameter",
        VERSION,
        "Gut-equivalent diameter for a wanted tension, with sizes beside it.",
        {
            "tension_n": "wanted tension, N; or tension_kgf",
            "tension_kgf": "wanted tension, kgf; instead of tension_n",
            "length_mm": "speaking length, mm",
            "pitch_hz": "pitch of the open string, Hz",
            "step_mm": "step between sizes that can be bought, mm, optional (0.02)",
            "u_length_mm": "standard uncertainty, optional (0.5)",
            "u_pitch_hz": "standard uncertainty, optional (0)",
        },
        run_equivalent,
    )
)
