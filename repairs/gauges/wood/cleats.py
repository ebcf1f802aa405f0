"""Cleats across a crack: how many, where, and what they are made like."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.given import limits, only, rows
from repairs.gauges.base.plain import needed, optional, plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import Limit, judge
from repairs.gauges.wood.joint_limits import DEFAULT_LIMITS, MOST_CRACK_MM, VERSION


@dataclass(frozen=True)
class Bar:
    """A bar that crosses the crack: its middle from the start of the crack, and its width; mm."""

    at_mm: float
    width_mm: float


CleatNote = Literal["short", "closer", "bar_instead"]


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
    notes: tuple[CleatNote, ...]


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
    # Two cleats side by side would be a patch that stiffens the plate and splits it at its edge.
    if crack < 2.0 * size:
        return Cleats(1, (crack / 2.0,), None, size, thickness_mm, ("short",))
    # A crack runs on from its ends, so each end is held; a bar glued across it does that already.
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
    notes: list[CleatNote] = ["bar_instead"] if touching else []
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


_CLEAT_INPUTS = {
    "crack_mm": "length of the crack, mm",
    "bars": "optional: list of bars across the crack, each at_mm and width_mm",
    "size_mm": "optional: size of a cleat along the crack, mm; 10 when left out",
    "thickness_mm": "optional: thickness of a cleat, mm; 2 when left out",
    "limits": "optional: house limits cleat_spacing_mm, cleat_size_mm, cleat_thickness_mm",
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
    return {
        **plain(found),  # Along the crack a cleat would split with it.
        "grain": "across_the_crack",
        "verdicts": plain(verdicts),
    }


register(Gauge("cleats", VERSION, "Cleats across a crack.", _CLEAT_INPUTS, _run_cleats))
