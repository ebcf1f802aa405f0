"""Does a key fall back by its own weight? The force that brings it home, and its friction.

There is no spring: the instrument hangs at its strap, the keys look down, and a key slides out of
its two mortises by its weight (trade practice). Along a slide tilted by θ the weight pulls with
m·g·sin θ; friction holds with μ·m·g·cos θ. A key begins to slide at φ = arctan μ (the angle of
repose), so tilting it until it falls tells μ without any scale; lying level, a pull of μ·m·g along
the slide just moves it, which a balance tells. What is left at the
playing angle is m·g·(sin θ − tan φ·cos θ) = m·g·sin(θ − φ)/cos φ.
Source: Coulomb's law of dry friction; standard gravity 9.80665 m/s² (CGPM 1901).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.arrays import np
from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, limits, only, rows
from repairs.gauges.base.plain import optional, plain
from repairs.gauges.base.propagation import Values, spread
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit, Verdict, judge
from repairs.gauges.strings.stringlaw import G_M_S2

VERSION = "key_return 1"
MOST_KEY_G = 60.0
MOST_READINGS = 12
U_ANGLE_DEG = 1.0  # a level app or a protractor beside the keybox (common practice)
U_MASS_G = 0.1
U_PULL_MN = 5.0  # half a gram on a letter balance (common practice)
MOST_PULL_MN = 5000.0
DEFAULT_LIMITS = {
    # So much is left that a rise of friction by a tenth, as in damp air, does not hold the key.
    "return_mn": Limit(5.0, None, "mN", COMMON_PRACTICE + ", figure of the house"),
    "room_deg": Limit(0.0, None, "°", "friction: the key must slide"),
}


@dataclass(frozen=True)
class Return:
    """How one key falls back. Angles in degrees from level.

    ``friction_deg`` is where it begins to slide, ``friction`` the coefficient tan φ, ``return_mn``
    the force that is left at the playing angle (below 0: it stays), ``room_deg`` playing angle less
    friction angle. ``falls_pct`` is the probability that it falls.
    """

    friction_deg: float
    u_friction_deg: float
    friction: float
    u_friction: float
    return_mn: float
    u_return_mn: float
    return_verdict: Verdict
    room_deg: float
    u_room_deg: float
    room_verdict: Verdict
    falls_pct: float


def return_mn(v: Values) -> float:
    """Return the force in mN that brings a key home.

    ``v`` holds ``mass_g``, ``playing_deg`` and ``friction_deg`` (below 90): m·g·sin(θ − φ)/cos φ.
    """
    phi = math.radians(v["friction_deg"])
    return v["mass_g"] * G_M_S2 * math.sin(math.radians(v["playing_deg"]) - phi) / math.cos(phi)


def falls_back(
    mass_g: float,
    slides_deg: Sequence[float],
    playing_deg: float,
    us: Values,
    house: dict[str, Limit] | None = None,
) -> Return:
    """Return how a key falls back that began to slide at ``slides_deg``, one or more readings.

    ``us`` holds the standard uncertainties ``mass_g``, ``angle_deg`` (of one reading) and
    ``playing_deg``. The friction angle is the mean; its doubt is the larger of what the readings
    scatter and of ``angle_deg``, over √n. Source: JCGM 100:2008, 4.2.3 and 5.1.2.
    """
    held_to = house or DEFAULT_LIMITS
    count = len(slides_deg)
    scatter = float(np.std(slides_deg, ddof=1)) if count > 1 else 0.0
    u_phi = max(scatter, us["angle_deg"]) / math.sqrt(count)
    phi = float(np.mean(slides_deg))
    values = {"mass_g": mass_g, "playing_deg": playing_deg, "friction_deg": phi}
    doubt = {"mass_g": us["mass_g"], "playing_deg": us["playing_deg"], "friction_deg": u_phi}
    force, u_force = return_mn(values), spread(return_mn, values, doubt)
    room, u_room = playing_deg - phi, math.hypot(us["playing_deg"], u_phi)
    verdict = judge(room, u_room, held_to["room_deg"])
    falls = judge(room, u_room, DEFAULT_LIMITS["room_deg"]).inside_pct
    slope = 1.0 / math.cos(math.radians(phi)) ** 2
    return Return(
        friction_deg=phi,
        u_friction_deg=u_phi,
        friction=math.tan(math.radians(phi)),
        u_friction=slope * math.radians(u_phi),
        return_mn=force,
        u_return_mn=u_force,
        return_verdict=judge(force, u_force, held_to["return_mn"]),
        room_deg=room,
        u_room_deg=u_room,
        room_verdict=verdict,
        falls_pct=falls or 0.0,
    )


INPUTS = {
    "mass_g": "mass of the key with its tangents, g",
    "slides_deg": "tilts at which the key begins to slide, ° from level: a list of one or more",
    "pulls_mn": "or pulls that just move it along its level slide, mN: a list of one or more",
    "u_pull_mn": "standard uncertainty of one pull, mN, optional (5)",
    "playing_deg": "tilt of the keys in playing, ° from level",
    "u_mass_g": "standard uncertainty of the mass, g, optional (0.1)",
    "u_angle_deg": "standard uncertainty of one tilt, °, optional (1)",
    "u_playing_deg": "standard uncertainty of the playing tilt, °, optional (as u_angle_deg)",
    "limits": "own limits by name, optional",
}


def run(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: see ``Return``."""
    only(given, INPUTS)
    house = limits(given, DEFAULT_LIMITS)
    mass = positive("mass_g", given.get("mass_g"), most=MOST_KEY_G)
    slides, u_slide = _slides(given, mass)
    playing = between("playing_deg", given.get("playing_deg"), 0.0, 90.0)
    u_angle = optional(given, "u_angle_deg", U_ANGLE_DEG, (0.0, 20.0))
    us = {
        "mass_g": optional(given, "u_mass_g", U_MASS_G, (0.0, 10.0)),
        "angle_deg": u_angle if u_slide is None else u_slide,
        "playing_deg": optional(given, "u_playing_deg", u_angle, (0.0, 20.0)),
    }
    answer: dict[str, Any] = plain(falls_back(mass, slides, playing, us, house))
    return answer


def _slides(given: Plain, mass_g: float) -> tuple[list[float], float | None]:
    """The friction angles read, and their doubt where pulls tell it: φ = arctan(F/(m·g))."""
    is_tilted, is_pulled = not absent(given, "slides_deg"), not absent(given, "pulls_mn")
    if is_tilted == is_pulled:
        count = int(is_tilted) * 2
        raise GaugeInputError("needs_one", field="slides_deg, pulls_mn", value=count)
    name, most = ("pulls_mn", MOST_PULL_MN) if is_pulled else ("slides_deg", 85.0)
    typed = rows(name, given[name], least=1, most=MOST_READINGS)
    read = [between(name, one, 0.0, most, row=row) for row, one in enumerate(typed, 1)]
    if is_tilted:
        return read, None
    weight_mn = mass_g * G_M_S2
    slides = [math.degrees(math.atan2(pull, weight_mn)) for pull in read]
    u_pull = optional(given, "u_pull_mn", U_PULL_MN, (0.0, 1000.0))
    mean = math.radians(sum(slides) / len(slides))
    return slides, math.degrees(u_pull / weight_mn) * math.cos(mean) ** 2


KEY_RETURN = register(
    Gauge("key_return", VERSION, "Whether a key falls back by its own weight.", INPUTS, run)
)
