"""Where tangents stand: mm from the nut for any scale, and what pressing a key adds in pitch."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.checks import between, number, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, only, rows
from repairs.gauges.base.plain import plain
from repairs.gauges.base.propagation import Values, spread
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.keys.scala import parse_scl
from repairs.gauges.keys.temperament import PER_OCTAVE, TEMPERAMENTS, Scale, plain_name
from repairs.gauges.strings.spec import MOST, quantity, uncertainty
from repairs.gauges.strings.stringtone import youngs

VERSION = "keyboard 1"

LEAST_LENGTH_MM, MOST_LENGTH_MM = 100.0, 1500.0
MOST_KEY = 72
MOST_CENTS = 4800.0
# A steel rule held along a string, from the edge of the nut to the crown of the bridge. On 345 mm
# this moves the tangent of the octave by 0.25 mm, which is 2.5 cents.
U_LENGTH_MM = 0.5
# Cents of pitch for a change of the speaking length by its own amount: 1200/ln 2.
# So a tenth of a millimetre is 1 cent at the octave of 345 mm and 2 cents at the second: high
# tangents want the finer eye.
CENTS_PER_E = PER_OCTAVE / math.log(2.0)


def to_bridge_mm(length_mm: float, cents: float) -> float:
    """Return the speaking length in mm left at ``cents`` above the open string: L·2^(−c/1200)."""
    # The rule of eighteen that old makers used sets the twelfth tangent at 0.4964 of the length and
    # not at its half: a flat octave.
    return length_mm * 2.0 ** (-cents / PER_OCTAVE)


def from_nut_mm(length_mm: float, cents: float) -> float:
    """Return a tangent's place in mm from the nut: x = L·(1 − 2^(−c/1200)). Source: geometry."""
    return length_mm - to_bridge_mm(length_mm, cents)


def cents_at_mm(length_mm: float, place_mm: float) -> float:
    """Return the cents above the open string at ``place_mm`` from the nut, which is below L."""
    return PER_OCTAVE * math.log2(length_mm / (length_mm - place_mm))


def place_error_cents(to_bridge: float, shift_mm: float) -> float:
    """Return how many cents a tangent sharpens that stands ``shift_mm`` too near the bridge.

    ``to_bridge`` (mm) is where it ought to stand; 1200·log₂(B/(B − d)).
    """
    return PER_OCTAVE * math.log2(to_bridge / (to_bridge - shift_mm))


@dataclass(frozen=True)
class Tangent:
    """Where one key's tangent stands. ``cents_per_mm`` is what moving it by 1 mm does."""

    key: int
    cents: float
    from_nut_mm: float
    u_from_nut_mm: float
    to_bridge_mm: float
    from_last_mm: float
    cents_per_mm: float


def tangents(
    length_mm: float, wanted: Sequence[tuple[int, float]], u_length_mm: float = U_LENGTH_MM
) -> tuple[Tangent, ...]:
    """Return the place of each tangent of ``wanted``, pairs of key and cents above the open string.

    Lengths in mm from the nut towards the bridge; ``from_last_mm`` is the distance from the tangent
    before (the nut for the first). Source: x = L·(1 − 2^(−c/1200)).
    """
    placed, last = [], 0.0
    for key, cents in wanted:
        place, left = from_nut_mm(length_mm, cents), to_bridge_mm(length_mm, cents)
        u = u_length_mm * place / length_mm
        placed.append(Tangent(key, cents, place, u, left, place - last, CENTS_PER_E / left))
        last = place
    return tuple(placed)


def read_keys(value: object) -> list[int]:
    """Return the keys as steps above the open string: a number of keys, or a list of steps.

    23 is keys 1 to 23. Raises GaugeInputError for steps that are not whole, twice there, not
    rising, or above ``MOST_KEY``.
    """
    # 23 is the usual number of a French wheel fiddle, 24 a full two octaves; old simple ones have
    # 19.
    if isinstance(value, int | float | str) and not isinstance(value, bool):
        return list(range(1, _whole("keys", value, None) + 1))
    listed = rows("keys", value, least=1, most=MOST_KEY)
    keys: list[int] = []
    for row, one in enumerate(listed, 1):
        key = _whole("keys", one, row)
        if key in keys:
            raise GaugeInputError("twice", field="keys", row=row, value=key)
        if keys and key < keys[-1]:
            raise GaugeInputError("not_rising", field="keys", row=row, value=key, limit=keys[-1])
        keys.append(key)
    return keys


def _whole(field: str, value: Any, row: int | None) -> int:
    result = between(field, value, 1, MOST_KEY, row=row)
    if result != int(result):
        raise GaugeInputError("not_whole", field=field, row=row, value=f"{result:g}")
    return int(result)


def read_scale(value: object) -> Scale:
    """Return a temperament by its name, or the scale of an .scl text (which has several lines)."""
    if isinstance(value, str) and ("\n" in value or "\r" in value):
        return parse_scl(value)
    if isinstance(value, str) and plain_name(value) in TEMPERAMENTS:
        return TEMPERAMENTS[plain_name(value)]
    return TEMPERAMENTS[choice("temperament", value, TEMPERAMENTS)]


def wanted_cents(given: Mapping[str, Any]) -> tuple[list[tuple[int, float]], Scale]:
    """Read ``temperament``, ``keys`` and ``open_step``: the cents wanted of each key.

    Raises GaugeInputError when a key would not rise above the one before, or the open string, as
    a scale out of order makes it, or stands more than four octaves up.
    """
    scale = read_scale(given.get("temperament"))
    keys = read_keys(given.get("keys"))
    step = 0 if absent(given, "open_step") else number("open_step", given["open_step"])
    open_step = int(between("open_step", step, 0, len(scale.steps_cents)))
    wanted: list[tuple[int, float]] = []
    least = 0.0
    for row, key in enumerate(keys, 1):
        cents = scale.above(open_step, key)
        if cents <= least:
            raise GaugeInputError(
                "not_rising", field="temperament", row=row, value=f"{cents:.6g}", limit=f"{least:g}"
            )
        wanted.append((key, between("temperament (cents)", cents, least, MOST_CENTS, row=row)))
        least = cents
    return wanted, scale


def read_length(given: Mapping[str, Any], name: str = "length_mm") -> float:
    """Return a speaking length that a keyed instrument can have."""
    value = positive(name, given.get(name), most=MOST_LENGTH_MM)
    return between(name, value, LEAST_LENGTH_MM, MOST_LENGTH_MM)


def read_u(given: Mapping[str, Any], name: str, usual: float, most: float) -> float:
    """Return a standard uncertainty by name, or the usual one when it is left out."""
    return usual if absent(given, name) else uncertainty(name, given[name], most)


def run_tangents(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: ``keys`` holds one ``Tangent`` for each key."""
    only(given, TANGENTS.inputs)
    length = read_length(given)
    wanted, scale = wanted_cents(given)
    placed = tangents(length, wanted, read_u(given, "u_length_mm", U_LENGTH_MM, 20.0))
    return {
        "length_mm": length,
        "temperament": scale.name,
        "description": scale.description,
        "keys": [plain(one) for one in placed],
    }


def sharpening_cents(v: Values) -> float:
    """Return by how many cents pressing a key sharpens the string.

    ``v`` holds ``tension_n``, ``diameter_mm``, ``youngs_gpa``, ``length_mm`` (speaking),
    ``total_mm`` (from tail to peg), ``from_nut_mm`` (place x of the tangent) and ``push_mm`` (y,
    how far it pushes the string aside). ΔL = √(x²+y²) + √((L−x)²+y²) − L; ΔT = E·A·ΔL/L_total;
    600·log₂(1 + ΔT/T). The string slides freely over nut and bridge.
    Source: Hooke's law; E of gut from memory.
    """
    x, y, length = v["from_nut_mm"], v["push_mm"], v["length_mm"]
    # Gut of 0.8 mm at 66.3 N, pushed 1.5 mm aside at 100 mm, sharpens by 1.3 cents; steel of 0.3 mm
    # pushed 1.0 mm by 2.7. So tangents are set at the pressure of playing.
    longer = math.hypot(x, y) + math.hypot(length - x, y) - length
    area_mm2 = math.pi * v["diameter_mm"] ** 2 / 4.0
    # Over the whole string from tail to peg: the length behind bridge and nut stretches with it.
    added_n = v["youngs_gpa"] * 1e3 * area_mm2 * longer / v["total_mm"]
    return 600.0 * math.log2(1.0 + added_n / v["tension_n"])


def read_string(given: Plain, length_mm: float) -> tuple[dict[str, float], dict[str, float]]:
    """The string that a key presses, but for the tangent's place, and its uncertainties."""
    values = {name: quantity(name, given.get(name)) for name in ("tension_n", "diameter_mm")}
    values["length_mm"] = length_mm
    values["total_mm"] = between("total_mm", given.get("total_mm"), length_mm, MOST["length_mm"])
    values["push_mm"] = between("push_mm", given.get("push_mm"), 0.0, 20.0)
    usual = {
        "tension_n": 0.0,
        "diameter_mm": 0.01,
        "length_mm": U_LENGTH_MM,
        "total_mm": 5.0,
        "push_mm": 0.1,
    }
    us = {name: read_u(given, f"u_{name}", u, values[name] or 20.0) for name, u in usual.items()}
    values["youngs_gpa"], us["youngs_gpa"] = youngs(given)
    return values, us


def run_sharpening(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: ``sharpening_cents``, ``u_sharpening_cents``."""
    only(given, SHARPENING.inputs)
    length = read_length(given)
    place = positive("from_nut_mm", given.get("from_nut_mm"), most=length * 0.999)
    values, us = read_string(given, length)
    values["from_nut_mm"] = place
    us["from_nut_mm"] = read_u(given, "u_from_nut_mm", U_LENGTH_MM, place)
    return {
        "sharpening_cents": sharpening_cents(values),
        "u_sharpening_cents": spread(sharpening_cents, values, us),
    }


STRING_LAW = {
    "tension_n": "tension, N",
    "diameter_mm": "diameter, mm",
    "youngs_gpa": "Young's modulus, GPa; or material",
    "material": "material of the string, optional: instead of youngs_gpa",
    "total_mm": "whole length of string under tension, tail to peg, mm",
    "push_mm": "how far the tangent pushes the string aside, mm",
    "u_tension_n": "standard uncertainty, optional (0)",
    "u_diameter_mm": "standard uncertainty, optional (0.01)",
    "u_youngs_gpa": "standard uncertainty, optional (a tenth, or the material's)",
    "u_total_mm": "standard uncertainty, optional (5)",
    "u_push_mm": "standard uncertainty, optional (0.1)",
}
SCALE_INPUTS = {
    "temperament": f"one of {', '.join(TEMPERAMENTS)}; or the text of a Scala .scl file",
    "keys": "how many keys (23 is steps 1 to 23), or the list of their steps above the open string",
    "open_step": "which step of the scale the open string is, optional (0): G in C is 7",
}
TANGENTS = register(
    Gauge(
        "tangents",
        VERSION,
        "Where each tangent stands for a scale: mm from nut and to bridge, and cents.",
        {
            "length_mm": "speaking length from nut to bridge, mm",
            **SCALE_INPUTS,
            "u_length_mm": "standard uncertainty of the length, mm, optional (0.5)",
        },
        run_tangents,
    )
)
SHARPENING = register(
    Gauge(
        "sharpening",
        VERSION,
        "By how many cents pressing a key sharpens its note.",
        {
            **STRING_LAW,
            "length_mm": "speaking length, mm",
            "from_nut_mm": "place of the tangent, mm from the nut",
            "u_length_mm": "standard uncertainty, optional (0.5)",
            "u_from_nut_mm": "standard uncertainty, optional (0.5)",
        },
        run_sharpening,
    )
)
