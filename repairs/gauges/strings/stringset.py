"""A set of strings at a glance: each tension, the load along the body, the force on each bridge."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, limits, only, rows
from repairs.gauges.base.plain import plain
from repairs.gauges.base.propagation import spread
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import Limit, Verdict, judge
from repairs.gauges.strings import stringlaw as law
from repairs.gauges.strings.gauge import DEFAULT_LIMITS as STRING_LIMITS
from repairs.gauges.strings.gauge import INPUTS, StringResult, solve
from repairs.gauges.strings.materials import MATERIALS
from repairs.gauges.strings.shared import Parts, shared_parts, u_of_sum
from repairs.gauges.strings.spec import LEAST, MOST, quantity, read_string, uncertainty
from repairs.gauges.strings.stringtone import Equivalent, equivalent, inharmonicity

VERSION = "stringset 2"
MOST_STRINGS = 60
# A bevel held against a string, read on a protractor (common practice).
U_ANGLE_DEG = 0.5
UNSET = "no figure found; the house may set one"
# No figure for a body's or a bridge's load was found: both stay open until the house sets one.
DEFAULT_LIMITS: Mapping[str, Limit] = {
    **STRING_LIMITS,
    "load_n": Limit(None, None, "N", UNSET),
    "downforce_n": Limit(None, None, "N", UNSET),
}


@dataclass(frozen=True)
class Break:
    """The angles in degrees at which a string leaves its bridge, with their uncertainty."""

    speaking_deg: float
    after_deg: float
    u_deg: float = U_ANGLE_DEG


@dataclass(frozen=True)
class Stiff:
    """Inharmonicity of a plain string, and by how many cents its highest told partial is sharp."""

    b: float
    u_b: float
    partial: int
    sharp_cents: float
    u_sharp_cents: float


@dataclass(frozen=True)
class Member:
    """One string of the set; ``downforce_n`` is None where no break angle is known.

    ``wanted`` are the sizes for a tension that is wanted, ``stiff`` how sharp its partials stand
    (plain strings of known stiffness), ``shared`` what its doubt has in common with others.
    """

    name: str
    bridge: str
    string: StringResult
    downforce_n: float | None
    u_downforce_n: float | None
    wanted: Equivalent | None = None
    stiff: Stiff | None = None
    shared: Parts = field(default_factory=dict, repr=False)

    @property
    def shared_down(self) -> dict[str, float]:
        """The shared parts of the force on the bridge, which goes with the tension."""
        force = self.downforce_n or 0.0
        return {name: part * force / self.string.tension_n for name, part in self.shared.items()}


@dataclass(frozen=True)
class BridgeLoad:
    """The downforce of all strings on one bridge; ``strings`` counts those with known angles."""

    bridge: str
    strings: int
    downforce_n: float
    u_downforce_n: float
    verdict: Verdict


@dataclass(frozen=True)
class SetResult:
    """``load_n`` is the sum of the tensions, with which the strings press nut towards tail.

    Angles below 10° to the body's axis take less than 1.6 % from it, and are left out of account.
    """

    strings: tuple[Member, ...]
    load_n: float
    u_load_n: float
    load_kgf: float
    load: Verdict
    bridges: tuple[BridgeLoad, ...]


def downforce(tension_n: float, u_tension_n: float, angles: Break) -> tuple[float, float]:
    """Return one string's force on its bridge and the standard uncertainty of it, both in N.

    Source: statics, F = T·(sin α + sin β).
    """
    values = {"t": tension_n, "a": angles.speaking_deg, "b": angles.after_deg}
    us = {"t": u_tension_n, "a": angles.u_deg, "b": angles.u_deg}

    def force(v: Mapping[str, float]) -> float:
        return law.downforce_n(v["t"], v["a"], v["b"])

    return force(values), spread(force, values, us)


def read_break(given: Mapping[str, Any], *, row: int | None = None) -> Break | None:
    """Read ``speaking_deg`` and ``after_deg``, or ``break_deg`` shared equally; None if absent.

    Raises GaugeInputError ``needs_one`` when both ways are given.
    """
    sides = not (absent(given, "speaking_deg") and absent(given, "after_deg"))
    whole = not absent(given, "break_deg")
    if sides and whole:
        raise GaugeInputError(
            "needs_one", field="break_deg, speaking_deg with after_deg", row=row, value=2
        )
    u = U_ANGLE_DEG
    if not absent(given, "u_angle_deg"):
        u = between("u_angle_deg", given["u_angle_deg"], 0.0, 20.0, row=row)
    if whole:
        half = between("break_deg", given["break_deg"], 0.0, 120.0, row=row) / 2.0
        # A total read once is doubtful once: each half carries u/√2 so that their sum carries u.
        return Break(half, half, u / math.sqrt(2.0))
    if not sides:
        return None
    first, second = (
        between(name, given.get(name), -10.0, 60.0, row=row)
        for name in ("speaking_deg", "after_deg")
    )
    return Break(first, second, u)


def weigh(members: Sequence[Member], house: Mapping[str, Limit] = DEFAULT_LIMITS) -> SetResult:
    """Add up a set. What the strings share (one rule, a material's density) adds up with them."""
    # What pulls the head towards the tail: six strings at Segerman's figures for a wheel fiddle (8,
    # 4, 4, 3, 4 and 5 kgf) are 275 N.
    load = sum(m.string.tension_n for m in members)
    u_load = u_of_sum((m.string.u_tension_n, m.shared) for m in members)
    names = dict.fromkeys(m.bridge for m in members if m.downforce_n is not None)
    bridges = []
    for name in names:
        # Melody and drone strings stand on bridges of their own: the soundboard is pressed in
        # several places, each to be judged by itself.
        on_it = [m for m in members if m.bridge == name and m.downforce_n is not None]
        force = sum(m.downforce_n or 0.0 for m in on_it)
        u = u_of_sum((m.u_downforce_n or 0.0, m.shared_down) for m in on_it)
        verdict = judge(force, u, house.get("downforce_n"))
        bridges.append(BridgeLoad(name, len(on_it), force, u, verdict))
    verdict = judge(load, u_load, house.get("load_n"))
    kgf = load / law.G_M_S2
    return SetResult(tuple(members), load, u_load, kgf, verdict, tuple(bridges))


BREAK_INPUTS = {
    "speaking_deg": "angle of the speaking length to the bridge's top plane, degrees down",
    "after_deg": "angle of the afterlength to the bridge's top plane, degrees down",
    "break_deg": "whole break angle, shared equally; instead of the two others",
    "u_angle_deg": "standard uncertainty of an angle, degrees, optional (0.5)",
}
MEMBER_INPUTS = (*INPUTS, *BREAK_INPUTS, "name", "bridge", "wanted_n")
STEP_MM = 0.02  # gut is sold in such steps
TOLD_PARTIAL = 12  # three and a half octaves above the string


def read_member(given: Any, row: int, house: Mapping[str, Limit] = DEFAULT_LIMITS) -> Member:
    """Read one row of a set: a string as for the gauge ``string``, with its bridge and angles."""
    only(given, MEMBER_INPUTS, field="strings", row=row)
    spec = read_string(given, row=row)
    string = solve(spec, house, row=row)
    angles = read_break(given, row=row)
    force, u = downforce(string.tension_n, string.u_tension_n, angles) if angles else (None, None)
    material = str(given.get("material") or "")
    return Member(
        str(given.get("name") or row)[:60],
        str(given.get("bridge") or "bridge")[:60],
        string,
        force,
        u,
        _wanted(given, string, row),
        _stiff(material, string),
        shared_parts(spec, {"tension_n": string.tension_n}, material),
    )


def _wanted(given: Mapping[str, Any], string: StringResult, row: int) -> Equivalent | None:
    """The gut-equivalent sizes for the tension that is wanted of this string."""
    if absent(given, "wanted_n"):
        return None
    wanted = between("wanted_n", given["wanted_n"], LEAST["tension_n"], MOST["tension_n"], row=row)
    values = {"tension_n": wanted, "length_mm": string.length_mm, "pitch_hz": string.pitch_hz}
    us = {"length_mm": string.u_length_mm, "pitch_hz": string.u_pitch_hz}
    try:
        return equivalent(values, us, STEP_MM)
    except GaugeInputError as refusal:
        refusal.row = row
        raise


def _stiff(material: str, string: StringResult) -> Stiff | None:
    """How stiff a round plain string of a known material is; None for a wound or unknown one."""
    made_of = MATERIALS.get(material)
    if made_of is None or made_of.youngs_gpa is None or string.diameter_mm is None:
        return None
    values = {
        "diameter_mm": string.diameter_mm,
        "tension_n": string.tension_n,
        "length_mm": string.length_mm,
        "youngs_gpa": made_of.youngs_gpa,
    }
    us = {name: getattr(string, f"u_{name}") or 0.0 for name in values if name != "youngs_gpa"}
    us["youngs_gpa"] = made_of.u_youngs_gpa
    found = inharmonicity(values, us, TOLD_PARTIAL, None)

    def sharp(b: float) -> float:
        return 1200.0 * math.log2(law.partial_ratio(TOLD_PARTIAL, b) / TOLD_PARTIAL)

    u = spread(lambda v: sharp(v["b"]), {"b": found.b}, {"b": found.u_b})
    return Stiff(found.b, found.u_b, TOLD_PARTIAL, sharp(found.b), u)


def run_set(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: see ``SetResult``; each string's figures lie in its row."""
    only(given, ("strings", "limits"))
    house = limits(given, DEFAULT_LIMITS)
    listed = rows("strings", given.get("strings"), least=1, most=MOST_STRINGS)
    result = weigh([read_member(one, i, house) for i, one in enumerate(listed, 1)], house)
    answer = plain(result)
    answer["strings"] = [_flat(m) for m in answer["strings"]]
    return answer


def _flat(member: dict[str, Any]) -> dict[str, Any]:
    string = member.pop("string")
    del member["shared"]
    return {**member, **string}


def run_downforce(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: ``downforce_n``, ``u_downforce_n``, ``verdict``."""
    only(given, ("tension_n", "u_tension_n", *BREAK_INPUTS, "limits"))
    house = limits(given, DEFAULT_LIMITS)
    tension = quantity("tension_n", given.get("tension_n"))
    u = 0.0
    if not absent(given, "u_tension_n"):
        u = uncertainty("u_tension_n", given["u_tension_n"], tension)
    angles = read_break(given)
    if angles is None:
        raise GaugeInputError("missing", field="break_deg")
    force, u_force = downforce(tension, u, angles)
    verdict = judge(force, u_force, house["downforce_n"])
    return {"downforce_n": force, "u_downforce_n": u_force, "verdict": plain(verdict)}


SET = register(
    Gauge(
        "string_set",
        VERSION,
        "A set of strings: each tension and safety, the load on the body and on each bridge.",
        {
            "strings": "list of strings: name and bridge (optional), the inputs of the gauge "
            "'string', the break angles as for 'downforce' (optional), and wanted_n, a tension "
            "for which sizes are told (optional)",
            "limits": "own limits by name, optional",
        },
        run_set,
    )
)
DOWNFORCE = register(
    Gauge(
        "downforce",
        VERSION,
        "Force of a string on its bridge from tension and break angles.",
        {
            "tension_n": "tension, N",
            "u_tension_n": "standard uncertainty of it, N, optional (0)",
            **BREAK_INPUTS,
            "limits": "own limits by name, optional",
        },
        run_downforce,
    )
)
