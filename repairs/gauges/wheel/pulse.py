"""The force of the wheel over one turn, string by string, from all lobes of the rim.

Each lobe ``c_k·cos k(θ − θ_k)`` of the rim lifts a string by so much more and less; the force of a
lifted string is ``F = T·h·[1/√(a² + h²) + 1/√((L−a)² + h²)]`` (see `force`), so it swings by
``±100·c_k/h`` per cent, k times a turn: an eccentric wheel once, an oval one twice. At n turns a
minute that is a pulse of ``k·n/60`` Hz. Quasi-static: the string follows the rim; that it is also
stretched by the lobe adds less than a hundredth of the swing.

How often a swing is heard is common practice: 3 % passes, 6 % is heard half the time, 10 % nearly
always; ``P = 1/(1 + exp(−(q − 6)/1.5))`` says the same, and a doubtful q is counted in by
D. MacKay's approximation (Neural Computation 4 (1992) 720, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Literal

from repairs.gauges.base.arrays import np
from repairs.gauges.base.checks import between
from repairs.gauges.base.given import absent, only, rows
from repairs.gauges.base.plain import maybe, optional
from repairs.gauges.base.propagation import spread
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.wheel.force import (
    LENGTHS_MM,
    MOST_LIFT_MM,
    MOST_TENSION_N,
    StringOnWheel,
    read_string,
    rim_speed_m_s,
)
from repairs.gauges.wheel.lobes import Lobe, offsets_mm, read_lobes

VERSION = "force_turn 1"

MOST_STRINGS = 12
TURNS_PER_MIN = (5.0, 400.0)
USUAL_TURNS = 60.0  # one a second
DIAMETERS_MM = (50.0, 300.0)
LEAST_LIFT_MM = 0.01
# Taken where none is typed, as in the bowing window: a rule laid along the string, a tension from
# the string's law, a place read with a rule.
U_LIFT_MM = 0.1
U_SHARE_OF_TENSION = 0.05
U_PLACE_MM = 0.5
AROUND = 720
HALF_HEARD_PCT, STEP_PCT = 6.0, 1.5  # common practice, see above
PASSES_PCT, NEARLY_ALWAYS_PCT = 3.0, 10.0

Heard = Literal["heard_seldom", "heard_at_times", "heard_mostly", "heard_nearly_always"]


@dataclass(frozen=True, slots=True)
class Lifted:
    """A string by its lift; ``string`` is None where its tension or place is not known."""

    name: str
    lift_mm: float
    string: StringOnWheel | None


@dataclass(frozen=True, slots=True)
class Swing:
    """How far one lobe makes the force of one string swing, each way, and how often it is heard."""

    order: int
    pct: float
    u_pct: float
    is_sure: bool
    hz: float
    heard_pct: float
    heard: Heard


@dataclass(frozen=True, slots=True)
class StringTurn:
    """One string over one turn. Forces are None where tension or place are not known.

    ``swing_pct`` is half of the way from the least to the most force, of all sure lobes together.
    ``touches`` is False where the rim leaves the string for a part of the turn.
    """

    name: str
    lift_mm: float
    force_n: float | None
    u_force_n: float | None
    least_n: float | None
    most_n: float | None
    swing_pct: float
    u_swing_pct: float
    heard_pct: float
    heard: Heard
    touches: bool
    swings: tuple[Swing, ...]


def heard_pct(swing_pct: float, u_pct: float = 0.0) -> float:
    """Return how often a swing is heard, in per cent; its doubt draws the answer towards 50."""
    wide = math.sqrt(1 + math.pi / 8 * (u_pct / STEP_PCT) ** 2)
    power = min(-(swing_pct - HALF_HEARD_PCT) / STEP_PCT / wide, 700.0)
    return 100.0 / (1.0 + math.exp(power))


def heard_word(swing_pct: float) -> Heard:
    """The word for it: common practice."""
    if swing_pct <= PASSES_PCT:
        return "heard_seldom"
    if swing_pct < HALF_HEARD_PCT:
        return "heard_at_times"
    return "heard_mostly" if swing_pct < NEARLY_ALWAYS_PCT else "heard_nearly_always"


def pulse_hz(order: int, turns_per_min: float) -> float:
    """Return how often a second a lobe of that order passes: ``k·n/60``."""
    return order * turns_per_min / 60.0


def string_turn(
    lifted: Lifted, lobes: Sequence[Lobe], turns_per_min: float, u_lift_mm: float
) -> StringTurn:
    """Return one string over one turn. Source: linear statics of the lifted string, JCGM 100."""
    angles = 360.0 * np.arange(AROUND) / AROUND
    off = offsets_mm(lobes, angles)
    high, low = int(off.argmax()), int(off.argmin())
    h, apart = lifted.lift_mm, math.radians(angles[high] - angles[low])
    half = float(off[high] - off[low]) / 2
    # The doubt of each lobe enters by how otherwise it stands at the highest place and the lowest.
    doubt = sum((one.u_amp_mm * math.sin(one.order * apart / 2)) ** 2 for one in lobes)
    swing, u_swing = 100.0 * half / h, _of_lift(half, math.sqrt(doubt), h, u_lift_mm)
    least, most = h + float(off[low]), h + float(off[high])
    return StringTurn(
        name=lifted.name,
        lift_mm=h,
        **_forces(lifted.string, least, most, u_lift_mm),
        swing_pct=swing,
        u_swing_pct=u_swing,
        heard_pct=heard_pct(swing, u_swing),
        heard=heard_word(swing),
        touches=least > 0,
        swings=tuple(_swing(one, h, u_lift_mm, turns_per_min) for one in lobes),
    )


def _forces(
    string: StringOnWheel | None, least_mm: float, most_mm: float, u_lift_mm: float
) -> dict[str, float | None]:
    """The force at the mean lift, with its u, and at both ends of the turn."""
    if string is None:
        return dict.fromkeys(("force_n", "u_force_n", "least_n", "most_n"))
    return {
        "force_n": string.force_n(),
        "u_force_n": _u_force_n(string, u_lift_mm),
        "least_n": string.force_n(least_mm),
        "most_n": string.force_n(most_mm),
    }


def _swing(one: Lobe, lift_mm: float, u_lift_mm: float, turns_per_min: float) -> Swing:
    pct = 100.0 * one.amp_mm / lift_mm
    u = _of_lift(one.amp_mm, one.u_amp_mm, lift_mm, u_lift_mm)
    hz = pulse_hz(one.order, turns_per_min)
    return Swing(one.order, pct, u, one.is_sure, hz, heard_pct(pct, u), heard_word(pct))


def _of_lift(amp_mm: float, u_amp_mm: float, lift_mm: float, u_lift_mm: float) -> float:
    """Standard uncertainty, in per cent, of an amplitude as a share of a lift."""
    return 100.0 / lift_mm * math.hypot(u_amp_mm, amp_mm * u_lift_mm / lift_mm)


def _u_force_n(string: StringOnWheel, u_lift_mm: float) -> float:
    errors = {
        "tension_n": U_SHARE_OF_TENSION * string.tension_n,
        "length_mm": U_PLACE_MM,
        "from_bridge_mm": U_PLACE_MM,
        "lift_mm": u_lift_mm,
    }
    return spread(lambda values: StringOnWheel(**values).force_n(), asdict(string), errors)


INPUTS = {
    "strings": "1 to 12 strings: lift_mm; name, tension_n, length_mm, from_bridge_mm may be left"
    " out, the last three together",
    "lobes": "harmonics of the rim: order (1 eccentric, 2 oval), amp_mm; u_amp_mm and high_deg, a"
    " high spot from the crank's mark in the playing direction, may be left out",
    "turns_per_min": "optional: turns of the crank per minute; 60 when left out",
    "diameter_mm": "optional: diameter of the wheel, for the speed of its rim",
    "u_lift_mm": "optional: standard uncertainty of each lift; 0.1 when left out",
}
STRING_INPUTS = ("name", "lift_mm", "tension_n", "length_mm", "from_bridge_mm")
PLACED = ("tension_n", "length_mm", "from_bridge_mm")


def run(given: Plain) -> dict[str, Any]:
    """Answer of the gauge ``force_turn`` for plain data; raises GaugeInputError."""
    only(given, INPUTS)
    lobes = read_lobes(given.get("lobes") or ())
    turns = optional(given, "turns_per_min", USUAL_TURNS, TURNS_PER_MIN)
    u_lift = optional(given, "u_lift_mm", U_LIFT_MM, (0.0, 1.0))
    diameter = maybe(given, "diameter_mm", DIAMETERS_MM)
    listed = rows("strings", given.get("strings"), least=1, most=MOST_STRINGS)
    strings = [_lifted(one, row) for row, one in enumerate(listed, 1)]
    found = [string_turn(one, lobes, turns, u_lift) for one in strings]
    return {
        "version": VERSION,
        "turns_per_min": turns,
        "rim_speed_m_s": None if diameter is None else rim_speed_m_s(diameter, turns),
        "lobes": [asdict(one) | {"is_sure": one.is_sure} for one in lobes],
        "strings": [_plain(one) for one in found],
    }


def _plain(one: StringTurn) -> dict[str, Any]:
    return asdict(replace(one, swings=())) | {"swings": [asdict(swing) for swing in one.swings]}


def _lifted(one: Any, row: int) -> Lifted:
    only(one, STRING_INPUTS, field="strings", row=row)
    name = str(one.get("name") or row)
    lift = between("lift_mm", one.get("lift_mm"), LEAST_LIFT_MM, MOST_LIFT_MM, row=row)
    _check_ends(one, row)
    if any(absent(one, field) for field in PLACED):
        return Lifted(name, lift, None)
    return Lifted(name, lift, read_string(one, row=row))


def _check_ends(one: Mapping[str, Any], row: int) -> None:
    """What was given alone is held against what can be, too."""
    maybe(one, "tension_n", (0.0, MOST_TENSION_N), row=row)
    maybe(one, "length_mm", LENGTHS_MM, row=row)
    maybe(one, "from_bridge_mm", (0.0, LENGTHS_MM[1]), row=row)


GAUGE = register(
    Gauge("force_turn", VERSION, "The wheel's force on each string over a turn.", INPUTS, run)
)
