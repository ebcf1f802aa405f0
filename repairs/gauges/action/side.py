"""The keybox seen from the side: the line of each string over walls, shanks, flags and wheel.

Heights are counted from one plane along the instrument (the soundboard's edge, a straightedge on
the keybox). Slots and rim carry the underside of the string, which runs straight from contact to
contact: nut, wheel where the rim stands above the line from nut to bridge, and bridge.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from repairs.gauges.action.plan import Check, Kind
from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.verdict import Limit, judge

VERSION = "action_side 1"

U_EDGE_MM = 0.03  # feeler under a short straightedge on the rim (common practice)


@dataclass(frozen=True)
class Wheel:
    """Rim at its contact (mm from the bridge, height), its thickness, and how much its edges are
    lower than the contact (crowned or eased); NaN where not measured."""

    from_bridge_mm: float
    rim_height_mm: float
    thickness_mm: float
    edge_drop_mm: float


@dataclass(frozen=True)
class Wall:
    """A wall of the keybox that a string passes: its slot's bottom at a place from the nut; mm."""

    name: str
    at_mm: float
    height_mm: float


@dataclass(frozen=True)
class Lid:
    """The underside of the closed lid, from and to a place from the nut; mm."""

    from_mm: float
    to_mm: float
    height_mm: float


@dataclass(frozen=True)
class Side:
    """The keybox from the side; mm. ``flag_*`` (S, K), ``shank_mm`` (K,), NaN: not measured."""

    length_mm: float
    keys: tuple[int, ...]
    at_mm: Floats
    diameter_mm: Floats
    nut_mm: tuple[float, ...]
    bridge_mm: tuple[float, ...]
    flag_low_mm: Floats
    flag_high_mm: Floats
    shank_mm: Floats
    walls: tuple[Wall, ...]
    lid: Lid | None
    wheel: Wheel | None
    u_height_mm: float


@dataclass(frozen=True)
class Line:
    """Underside of one string: through ``(0, nut)``, ``(contact, height)`` and the bridge.

    ``contact_mm`` is the wheel where the string is bent over it, else the bridge.
    ``lift_mm``: how far the rim lifts it from the straight line, below 0 where it does not touch;
    None without a wheel.
    """

    string: int
    length_mm: float
    nut_mm: float
    bridge_mm: float
    contact_mm: float
    contact_height_mm: float
    lift_mm: float | None

    def height_mm(self, x_mm: float) -> float:
        """Return the height of the underside at ``x_mm`` from the nut."""
        if x_mm <= self.contact_mm:
            rise = self.contact_height_mm - self.nut_mm
            return self.nut_mm + rise * x_mm / self.contact_mm
        share = (x_mm - self.contact_mm) / (self.length_mm - self.contact_mm)
        return self.contact_height_mm + (self.bridge_mm - self.contact_height_mm) * share

    def nut_share(self, x_mm: float) -> float:
        """Return how much the string rises at ``x_mm`` for each mm that the nut is raised."""
        return max(0.0, 1.0 - x_mm / self.contact_mm)

    def u_mm(self, x_mm: float, u_height_mm: float) -> float:
        """Return the standard uncertainty of the height at ``x_mm``."""
        if x_mm <= self.contact_mm:
            share = x_mm / self.contact_mm
        else:
            share = (x_mm - self.contact_mm) / (self.length_mm - self.contact_mm)
        return u_height_mm * math.hypot(share, 1.0 - share)


def lines(side: Side) -> tuple[Line, ...]:
    """Return the line of each string; the wheel bends it where the rim stands above."""
    found = []
    length = side.length_mm
    for s, (nut, bridge) in enumerate(zip(side.nut_mm, side.bridge_mm, strict=True)):
        contact, height, lift = length, bridge, None
        if side.wheel is not None:
            at = length - side.wheel.from_bridge_mm
            lift = side.wheel.rim_height_mm - (nut + (bridge - nut) * at / length)
            if lift > 0:
                contact, height = at, side.wheel.rim_height_mm
        found.append(Line(s + 1, length, nut, bridge, contact, height, lift))
    return tuple(found)


@dataclass(frozen=True)
class SideCheck:
    """A check of the side view and how it moves: mm per mm by which the nut, or the bridge end
    of a string that no wheel bends, is raised."""

    check: Check
    by_nut: float
    by_bridge: float


def side_checks(side: Side, limits: dict[str, Limit]) -> list[SideCheck]:
    """Return the checks in side view, each as a room in mm that must not be less than its limit."""
    found: list[SideCheck] = []
    for line in lines(side):
        found += _flags(side, line, limits)
        found += _shanks(side, line, limits)
        found += _box(side, line, limits)
        found += _wheel_edges(side, line, limits)
    return found


# Kind of check, note, key, name of the place, limit.
Named = tuple[Kind, int, int | None, str | None, Limit]


def _room(
    side: Side,
    line: Line,
    x_mm: float,
    level: tuple[float, bool],
    check: Named,
) -> SideCheck:
    """The room between the string at x and a level that it must stay over (or under)."""
    height, over = level
    kind, note, key, place, limit = check
    under = line.height_mm(x_mm)
    diameter = float(side.diameter_mm[line.string - 1])
    value = under - height if over else height - under - diameter
    verdict = judge(value, math.hypot(line.u_mm(x_mm, side.u_height_mm), side.u_height_mm), limit)
    sign = 1.0 if over else -1.0
    free = line.contact_mm == line.length_mm
    return SideCheck(
        Check(kind, note, key, line.string, verdict, place=place),
        sign * line.nut_share(x_mm),
        sign * x_mm / line.length_mm if free else 0.0,
    )


def _flags(side: Side, line: Line, limits: dict[str, Limit]) -> Iterator[SideCheck]:
    s = line.string - 1
    for k, key in enumerate(side.keys):
        x = float(side.at_mm[s, k])
        edges: tuple[tuple[Kind, float, bool], ...] = (
            ("flag_low", side.flag_low_mm[s, k], True),
            ("flag_high", side.flag_high_mm[s, k], False),
        )
        for kind, edge, over in edges:
            # A flag pushes sideways: a string that lies over its edge climbs off it, or is cut.
            if np.isfinite(edge) and math.isfinite(x):
                what = (kind, key, key, None, limits["flag_mm"])
                yield _room(side, line, x, (float(edge), over), what)


def _shanks(side: Side, line: Line, limits: dict[str, Limit]) -> Iterator[SideCheck]:
    """A shank lies under the string whatever key is held: it is a matter of the open string."""
    for k, key in enumerate(side.keys):
        x, top = float(side.at_mm[line.string - 1, k]), float(side.shank_mm[k])
        if math.isfinite(top) and math.isfinite(x):
            yield _room(side, line, x, (top, True), ("shank", 0, key, None, limits["shank_mm"]))


def _box(side: Side, line: Line, limits: dict[str, Limit]) -> Iterator[SideCheck]:
    for wall in side.walls:
        what: Named = ("wall", 0, None, wall.name, limits["wall_mm"])
        yield _room(side, line, wall.at_mm, (wall.height_mm, True), what)
    if side.lid is not None:
        ends = [side.lid.from_mm, side.lid.to_mm]
        if ends[0] < line.contact_mm < ends[1]:
            ends.append(line.contact_mm)
        highest = max(ends, key=line.height_mm)
        under: Named = ("lid", 0, None, None, limits["lid_mm"])
        yield _room(side, line, highest, (side.lid.height_mm, False), under)


def _wheel_edges(side: Side, line: Line, limits: dict[str, Limit]) -> Iterator[SideCheck]:
    """A string that the wheel bends must come onto the rim above its edge.

    ``edge_drop − rise·w/2``: the edge on the side of the nut stops a note; beyond the rim the
    string dives to the bridge, and a clearance below 0 there says that it rides on that edge.
    """
    wheel = side.wheel
    if wheel is None or line.lift_mm is None or line.lift_mm <= 0:
        return
    if not (math.isfinite(wheel.thickness_mm) and math.isfinite(wheel.edge_drop_mm)):
        return
    half = wheel.thickness_mm / 2.0
    for place, turn, span in (
        ("nut_side", -half, line.contact_mm),
        ("bridge_side", half, line.length_mm - line.contact_mm),
    ):
        room = wheel.edge_drop_mm + line.height_mm(line.contact_mm + turn) - wheel.rim_height_mm
        u = math.hypot(U_EDGE_MM, math.sqrt(2.0) * side.u_height_mm * half / span)
        verdict = judge(room, u, limits["wheel_edge_mm"])
        stops = place == "nut_side"
        check = Check("wheel_edge", 0, None, line.string, verdict, stops, place)
        yield SideCheck(check, half / span if stops else 0.0, 0.0)
