"""The string’s break over the bridge: how hard it presses down, and how it pushes to the side.

A string of tension T leaves the bridge at α before and β behind, both downwards, and turns by φ to
one side. Its two ends pull at the bridge with ``T·(u₁ + u₂)``: down ``T·(sin α + sin β)``, to the
side ``T·cos β·sin φ``, along the string ``T·(cos β·cos φ − cos α)``. Source: statics; without φ and
with equal angles it is ``2·T·sin(θ/2)``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice
from repairs.gauges.base.plain import maybe, needed, optional
from repairs.gauges.base.propagation import spread
from repairs.gauges.base.registry import Plain

ANGLE_ENDS_DEG = (-10.0, 60.0)
SIDE_ENDS_DEG = (0.0, 45.0)
TENSION_ENDS_N = (0.1, 5000.0)
U_ANGLE_DEG, U_TENSION_REL = 0.5, 0.05

Side = Literal["treble", "bass"]
SIDES = ("treble", "bass")


@dataclass(frozen=True)
class Load:
    """Forces of the strings on their bridge, N. ``side_n`` pushes the bridge towards ``side_to``,
    the side to which the strings turn; None where they run straight."""

    down_n: float
    u_down_n: float
    side_n: float
    u_side_n: float
    side_to: Side | None
    along_n: float


def forces(
    tension_n: float, before_deg: float, after_deg: float, side_deg: float
) -> tuple[float, float, float]:
    """Return the forces down, to the side and along (towards the tail) of one string, N."""
    before, after, side = (math.radians(d) for d in (before_deg, after_deg, side_deg))
    return (
        tension_n * (math.sin(before) + math.sin(after)),
        tension_n * math.cos(after) * math.sin(side),
        tension_n * (math.cos(after) * math.cos(side) - math.cos(before)),
    )


LOAD_INPUTS = {
    "tension_n": "optional: tension of the strings on this bridge together, N",
    "before_deg": "with it: break angle on the side of the speaking length, °, downwards",
    "after_deg": "with it: break angle behind the bridge, °, downwards",
    "side_deg": "optional: how far the strings turn sideways at the bridge, °",
    "side_to": "with it: treble or bass, the side to which they turn behind the bridge",
    "u_angle_deg": "optional: standard uncertainty of each angle, °",
    "u_tension_n": "optional: standard uncertainty of the tension, N; 5 % when left out",
}


def load_of(data: Plain) -> Load | None:
    """Read the load out of plain data; None where no tension is given.

    Raises GaugeInputError for an angle without a tension, a turn without its side, and for a string
    that lifts off the bridge.
    """
    if absent(data, "tension_n"):
        for name in ("before_deg", "after_deg", "side_deg", "side_to"):
            if not absent(data, name):
                raise GaugeInputError("missing", field="tension_n")
        return None
    tension = needed(data, "tension_n", TENSION_ENDS_N)
    before, after = (needed(data, n, ANGLE_ENDS_DEG) for n in ("before_deg", "after_deg"))
    if before + after <= 0:
        raise GaugeInputError("not_positive", field="after_deg", value=f"{after:g}")
    side = maybe(data, "side_deg", SIDE_ENDS_DEG) or 0.0
    return load(
        {"t": tension, "a": before, "b": after, "s": side},
        _side(data, side),
        u_angle_deg=optional(data, "u_angle_deg", U_ANGLE_DEG, (0.0, 20.0)),
        u_tension_n=optional(data, "u_tension_n", U_TENSION_REL * tension, (0.0, tension)),
    )


def _side(data: Plain, side_deg: float) -> Side | None:
    if absent(data, "side_to"):
        if side_deg > 0:
            raise GaugeInputError("missing", field="side_to")
        return None
    word = choice("side_to", data["side_to"], SIDES)
    if side_deg == 0.0:
        return None
    return "treble" if word == "treble" else "bass"


def load(
    values: Mapping[str, float], side_to: Side | None, *, u_angle_deg: float, u_tension_n: float
) -> Load:
    """Return the forces of tension ``t``, angles ``a`` before, ``b`` behind, ``s`` sideways."""
    us = {"t": u_tension_n, "a": u_angle_deg, "b": u_angle_deg, "s": u_angle_deg}

    def pressing(v: Mapping[str, float]) -> float:
        return forces(v["t"], v["a"], v["b"], v["s"])[0]

    def pushing(v: Mapping[str, float]) -> float:
        return forces(v["t"], v["a"], v["b"], v["s"])[1]

    down, side, along = forces(values["t"], values["a"], values["b"], values["s"])
    u_down, u_side = spread(pressing, values, us), spread(pushing, values, us)
    return Load(down, u_down, side, u_side, side_to, along)
