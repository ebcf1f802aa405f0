"""How hard the wheel presses on a string that it lifts, and how that swells with each turn.

The string is taken as a taut line from nut to bridge, lifted by h at the distance a from the
bridge; its tension is that of the lifted string, as tuned. Then
``F = T·h·[1/√(a² + h²) + 1/√((L−a)² + h²)]``, for small lifts ``T·h·(1/a + 1/(L−a))``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, only
from repairs.gauges.base.plain import maybe
from repairs.gauges.base.propagation import Values, spread
from repairs.gauges.base.registry import Gauge, Plain, register

VERSION = "wheel_force 1"

MOST_TENSION_N = 500.0  # six times the 8 kgf of the highest chanterelle (Segerman)
LENGTHS_MM = (100.0, 1000.0)
MOST_LIFT_MM = 20.0
LEAST_TO_NUT_MM = 1.0
DIAMETERS_MM = (50.0, 300.0)
MOST_TURNS_PER_MIN = 600.0
MOST_ECC_MM = 5.0


@dataclass(frozen=True, slots=True)
class StringOnWheel:
    """One string at the wheel: tension, speaking length, place of the wheel, and lift there."""

    tension_n: float
    length_mm: float
    from_bridge_mm: float
    lift_mm: float

    def force_n(self, lift_mm: float | None = None) -> float:
        """Force of the wheel on the string, exact, at its own or at another lift. 0 at no lift."""
        # A string that the rim no longer reaches is pressed by nothing; it does not pull at it.
        h = self.lift_mm if lift_mm is None else max(lift_mm, 0.0)
        a, b = self.from_bridge_mm, self.length_mm - self.from_bridge_mm
        return self.tension_n * h * (1 / math.hypot(a, h) + 1 / math.hypot(b, h))

    def force_small_angle_n(self) -> float:
        """The same for lifts that are small against the distance from the bridge."""
        a, b = self.from_bridge_mm, self.length_mm - self.from_bridge_mm
        return self.tension_n * self.lift_mm * (1 / a + 1 / b)


def read_string(given: Mapping[str, Any], *, row: int | None = None) -> StringOnWheel:
    """Return a string from plain data in the units of the field names.

    Raises GaugeInputError that names field and row: a tension above 500 N, a length outside of
    100 to 1000 mm, a wheel beyond the nut, a lift above 20 mm.
    """
    length = between("length_mm", given.get("length_mm"), *LENGTHS_MM, row=row)
    beyond = length - LEAST_TO_NUT_MM
    place = positive("from_bridge_mm", given.get("from_bridge_mm"), most=beyond, row=row)
    return StringOnWheel(
        tension_n=positive("tension_n", given.get("tension_n"), most=MOST_TENSION_N, row=row),
        length_mm=length,
        from_bridge_mm=place,
        lift_mm=between("lift_mm", given.get("lift_mm"), 0.0, MOST_LIFT_MM, row=row),
    )


def swelling_pct(ecc_mm: float, lift_mm: float) -> float:
    """Return by how many per cent the force swells and fades in a turn: ``±100·e/h``.

    ``ecc_mm`` >= 0, ``lift_mm`` > 0. Source: linear statics of the lifted string.
    """
    if lift_mm <= 0:
        raise GaugeInputError("not_positive", field="lift_mm", value=f"{lift_mm:g}")
    # 0.05 mm of eccentricity on a lift of 1 mm: 5 % more and 5 % less in each turn.
    return 100.0 * ecc_mm / lift_mm


def rim_speed_m_s(diameter_mm: float, turns_per_min: float) -> float:
    """Return the speed of the rim in metres per second: ``π·D·n/60``."""
    # 170 mm at one turn a second: 0.53 m/s.
    return math.pi * diameter_mm / 1000.0 * turns_per_min / 60.0


@dataclass(frozen=True, slots=True)
class WheelForce:
    """Answer of the gauge; what was not asked is None."""

    force_n: float
    u_force_n: float | None
    force_small_angle_n: float
    swelling_pct: float | None
    rim_speed_m_s: float | None
    pulse_hz: float | None


def wheel_force(
    string: StringOnWheel, errors: Mapping[str, float], ecc_mm: float | None = None
) -> WheelForce:
    """Return the force of the wheel on a string with its standard uncertainty.

    ``errors`` holds standard uncertainties by the name of the input that they belong to (GUM,
    JCGM 100:2008, 5.1.3); empty gives None.
    """
    swell = None if ecc_mm is None else swelling_pct(ecc_mm, string.lift_mm)
    return WheelForce(
        force_n=string.force_n(),
        u_force_n=spread(_force_n, asdict(string), errors) if errors else None,
        force_small_angle_n=string.force_small_angle_n(),
        swelling_pct=swell,
        rim_speed_m_s=None,
        pulse_hz=None,
    )


def _force_n(values: Values) -> float:
    return StringOnWheel(**values).force_n()


UNSURE = ("tension_n", "length_mm", "from_bridge_mm", "lift_mm")
INPUTS = {
    "tension_n": "tension of the string in newtons",
    "length_mm": "speaking length, nut to bridge, in millimetres",
    "from_bridge_mm": "distance of the wheel from the bridge in millimetres",
    "lift_mm": "how far the wheel lifts the string out of its straight line, in millimetres",
    "u_tension_n": "optional: standard uncertainty of tension_n",
    "u_length_mm": "optional: standard uncertainty of length_mm",
    "u_from_bridge_mm": "optional: standard uncertainty of from_bridge_mm",
    "u_lift_mm": "optional: standard uncertainty of lift_mm",
    "ecc_mm": "optional: eccentricity of the wheel, for the swelling",
    "diameter_mm": "optional: diameter of the wheel, for the speed of its rim",
    "turns_per_min": "optional: turns of the crank per minute; goes with diameter_mm",
}


def run(given: Plain) -> dict[str, Any]:
    """Answer of the gauge ``wheel_force`` for plain data; raises GaugeInputError."""
    only(given, INPUTS)
    string = read_string(given)
    answer = asdict(
        wheel_force(string, _errors(given, string), maybe(given, "ecc_mm", (0.0, MOST_ECC_MM)))
    )
    if not (absent(given, "diameter_mm") and absent(given, "turns_per_min")):
        turns = positive("turns_per_min", given.get("turns_per_min"), most=MOST_TURNS_PER_MIN)
        diameter = between("diameter_mm", given.get("diameter_mm"), *DIAMETERS_MM)
        answer["rim_speed_m_s"] = rim_speed_m_s(diameter, turns)
        # An eccentric wheel swells once a turn; an oval one twice, which is another fault (two
        # planks that shrank).
        answer["pulse_hz"] = turns / 60.0
    return answer


def _errors(given: Plain, string: StringOnWheel) -> dict[str, float]:
    """The uncertainties that were given, each at most a third of what it belongs to."""
    found = {name: maybe(given, f"u_{name}", (0.0, getattr(string, name) / 3)) for name in UNSURE}
    return {name: u for name, u in found.items() if u is not None}


GAUGE = register(
    Gauge("wheel_force", VERSION, "How hard the wheel presses on a string.", INPUTS, run)
)
