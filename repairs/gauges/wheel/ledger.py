"""The ledger of a wheel: what each cut took, what the next one takes, how many are left.

A rim that is cut by δ of its mean radius lifts every string by δ less while the bridge stands where
it is: ``lift left = lift read − (D read then − D now)/2``. The next cut takes what the rim stands
out of the circle inside it (ISO 12181-1, inscribed), counted from its mean radius; a jig takes
nothing even below `LEAST_CUT_MM`. Cuts left are ``(lift − least lift)/δ``, rounded down, and the
same for the band. All doubt is carried by first order (JCGM 100:2008, 5.1.2); the range of the
cuts left holds in 95 of 100 cases.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, only, rows
from repairs.gauges.base.plain import maybe, optional
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.wheel.force import DIAMETERS_MM, MOST_LIFT_MM

VERSION = "wheel_ledger 1"

MOST_STATES, MOST_STRINGS = 400, 12
U_DIAMETER_MM = 0.02  # common practice: a calliper of 0.02 mm
U_LIFT_MM = 0.1  # a rule laid along the string, as in the bowing window
U_BAND_MM = 0.1
LEAST_CUT_MM = 0.05  # of the radius; common practice: a blade set finer skips
LEAST_BAND_MM = 1.0  # common practice: a thinner band shows its joint and comes off the core
SURE = 2.0  # standard uncertainties by which a diameter must have changed
Z95 = 1.96
MOST_CUTS = 99  # more are as good as without end

Change = Literal["first", "unchanged", "cut", "smaller_unrecorded", "larger"]
Basis = Literal["as_read", "as_before", "least_cut"]
Limited = Literal["by_string", "by_band", "by_nothing_known"]


@dataclass(frozen=True, slots=True)
class State:
    """The wheel as one reading found it; ``next_mm`` is what a cut would take of its radius."""

    diameter_mm: float
    u_diameter_mm: float
    next_mm: float | None
    u_next_mm: float
    is_cut: bool


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the ledger: by how much its radius is less than at the reading before."""

    change: Change
    lost_mm: float | None
    u_lost_mm: float | None


@dataclass(frozen=True, slots=True)
class Room:
    """How much is left for a string, or of the band, and for how many cuts that is enough.

    ``left_mm`` is the lift, or the thickness, as it is now; ``least_mm`` what must remain.
    ``counted_down``: the lift was read on a larger wheel, and what was lost since is taken off.
    """

    name: str
    left_mm: float
    u_left_mm: float
    least_mm: float
    cuts: int
    low: int
    high: int
    counted_down: bool


def line_of(before: State | None, now: State) -> Line:
    """Return what became of the radius between two readings."""
    if before is None:
        return Line("first", None, None)
    lost = (before.diameter_mm - now.diameter_mm) / 2
    u = math.hypot(before.u_diameter_mm, now.u_diameter_mm) / 2
    if now.is_cut:
        return Line("cut", lost, u)
    if abs(lost) <= SURE * u:
        return Line("unchanged", lost, u)
    return Line("smaller_unrecorded" if lost > 0 else "larger", lost, u)


def next_cut(states: Sequence[State], lines: Sequence[Line]) -> tuple[float, float, Basis]:
    """Return what the next cut takes of the radius, with its u, and where that is known from.

    As the last reading has it; else as the cuts before took on average; never less than a blade.
    """
    last = states[-1]
    took = [line.lost_mm for line in lines if line.change == "cut" and line.lost_mm is not None]
    basis: Basis = "as_read"
    if last.next_mm is not None:
        found, u = last.next_mm, last.u_next_mm
    elif took:
        basis, found = "as_before", sum(took) / len(took)
        u = math.sqrt(sum((one - found) ** 2 for one in took) / max(len(took) - 1, 1))
        u = max(u, U_DIAMETER_MM) / math.sqrt(len(took))
    else:
        return LEAST_CUT_MM, 0.0, "least_cut"
    return (found, u, basis) if found >= LEAST_CUT_MM else (LEAST_CUT_MM, u, "least_cut")


def cuts_in(
    room_mm: float, u_room_mm: float, cut_mm: float, u_cut_mm: float
) -> tuple[int, int, int]:
    """Return how many cuts the room is enough for, and the ends of its 95 % range."""
    if room_mm <= 0:
        return 0, 0, _whole((room_mm + Z95 * u_room_mm) / cut_mm)
    ratio = room_mm / cut_mm
    u = ratio * math.hypot(u_room_mm / room_mm, u_cut_mm / cut_mm)
    return _whole(ratio), _whole(ratio - Z95 * u), _whole(ratio + Z95 * u)


def _whole(ratio: float) -> int:
    # A room of exactly three cuts is three, whatever the last digit of the division says.
    return max(0, min(MOST_CUTS, math.floor(ratio + 1e-9)))


INPUTS = {
    "states": "1 to 400 readings of the wheel in the order of time: diameter_mm; u_diameter_mm,"
    " next_mm (what a cut would take of the radius), u_next_mm and cut (true when it was cut since"
    " the reading before) may be left out",
    "strings": "optional: list of name, lift_mm; u_lift_mm, least_mm (lift that must remain) and"
    " at_diameter_mm (of the wheel when the lift was read) may be left out",
    "band_mm": "optional: thickness of the band of the rim as it is now",
    "u_band_mm": "optional: its standard uncertainty; 0.1 when left out",
    "least_band_mm": "optional: the thickness that must remain; 1 when left out",
}
STATE_INPUTS = ("diameter_mm", "u_diameter_mm", "next_mm", "u_next_mm", "cut")
STRING_INPUTS = ("name", "lift_mm", "u_lift_mm", "least_mm", "at_diameter_mm")


def run(given: Plain) -> dict[str, Any]:
    """Answer of the gauge ``wheel_ledger`` for plain data; raises GaugeInputError."""
    only(given, INPUTS)
    listed = rows("states", given.get("states"), least=1, most=MOST_STATES)
    states = [_state(one, row) for row, one in enumerate(listed, 1)]
    befores: list[State | None] = [None, *states[:-1]]
    lines = [line_of(before, now) for before, now in zip(befores, states, strict=True)]
    cut, u_cut, basis = next_cut(states, lines)
    strings = rows("strings", given.get("strings") or (), least=0, most=MOST_STRINGS)
    rooms = [_string(one, row, states[-1], (cut, u_cut)) for row, one in enumerate(strings, 1)]
    band = _band(given, (cut, u_cut))
    limited, tightest = _tightest(rooms, band)
    return {
        "version": VERSION,
        "lines": [asdict(one) for one in lines],
        "cuts": sum(one.change == "cut" for one in lines),
        "next_mm": cut,
        "u_next_mm": u_cut,
        "basis": basis,
        "strings": [asdict(one) for one in rooms],
        "band": None if band is None else asdict(band),
        "limited": limited,
        "tightest": None if tightest is None else asdict(tightest),
    }


def _tightest(strings: Sequence[Room], band: Room | None) -> tuple[Limited, Room | None]:
    """What ends first: the string, or the band, that bears the fewest cuts."""
    rooms_ = strings if band is None else [*strings, band]
    found = min(rooms_, key=lambda one: (one.cuts, one.left_mm - one.least_mm), default=None)
    if found is None:
        return "by_nothing_known", None
    return ("by_band" if found is band else "by_string"), found


def _state(one: Any, row: int) -> State:
    only(one, STATE_INPUTS, field="states", row=row)
    cut = False if absent(one, "cut") else one["cut"]
    if not isinstance(cut, bool):
        raise GaugeInputError("unknown", field="cut", row=row, value=cut, known="true, false")
    return State(
        between("diameter_mm", one.get("diameter_mm"), *DIAMETERS_MM, row=row),
        optional(one, "u_diameter_mm", U_DIAMETER_MM, (0.0, 2.0), row=row),
        maybe(one, "next_mm", (0.0, 10.0), row=row),
        optional(one, "u_next_mm", 0.0, (0.0, 10.0), row=row),
        cut,
    )


def _string(one: Any, row: int, now: State, cut: tuple[float, float]) -> Room:
    only(one, STRING_INPUTS, field="strings", row=row)
    lift = between("lift_mm", one.get("lift_mm"), 0.0, MOST_LIFT_MM, row=row)
    u = optional(one, "u_lift_mm", U_LIFT_MM, (0.0, 5.0), row=row)
    least = optional(one, "least_mm", 0.0, (0.0, MOST_LIFT_MM), row=row)
    then = maybe(one, "at_diameter_mm", DIAMETERS_MM, row=row)
    lost = 0.0 if then is None else (then - now.diameter_mm) / 2
    # A wheel read a hair larger or smaller, and not cut, lifts its strings as before.
    counted = abs(lost) > SURE * now.u_diameter_mm / math.sqrt(2)
    left = lift - lost if counted else lift
    u_left = math.hypot(u, now.u_diameter_mm / math.sqrt(2)) if counted else u
    found = cuts_in(left - least, u_left, *cut)
    return Room(str(one.get("name") or row), left, u_left, least, *found, counted_down=counted)


def _band(given: Plain, cut: tuple[float, float]) -> Room | None:
    band = maybe(given, "band_mm", (0.0, 20.0))
    if band is None:
        return None
    u = optional(given, "u_band_mm", U_BAND_MM, (0.0, 5.0))
    least = optional(given, "least_band_mm", LEAST_BAND_MM, (0.0, 20.0))
    return Room("", band, u, least, *cuts_in(band - least, u, *cut), counted_down=False)


GAUGE = register(
    Gauge("wheel_ledger", VERSION, "What cuts took of a wheel, and how many are left.", INPUTS, run)
)
