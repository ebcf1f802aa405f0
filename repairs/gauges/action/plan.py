"""The keybox seen from above: tangents beside their strings, at rest and with a key held.

x runs along the strings from the nut, y across them in the direction in which keys are pushed.
Every tangent stands on the near side of its string, so tangent 2 stands between both strings.
A held key pushes its strings aside: each is then a straight line from the nut to the tangent and
another from the tangent to the bridge, and the second one vibrates.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.verdict import Limit, Verdict, judge

VERSION = "action_plan 1"


Kind = Literal[
    "rest_gap",
    "together",
    "clear_own",
    "clear_other",
    "reach",
    "flag_low",
    "flag_high",
    "shank",
    "wall",
    "lid",
    "wheel_edge",
    "side_play",
    "returns",
]


@dataclass(frozen=True)
class Check:
    """One thing that must be right for a note to sound.

    ``note`` is the key that is held (0: none, the open string), ``key`` the key whose tangent or
    shank is concerned, ``string`` 1 or 2, ``place`` the name of a wall. ``value`` in mm (but
    ``returns`` has none). ``stops``: the note fails when this is outside.
    """

    kind: Kind
    note: int
    key: int | None
    string: int | None
    verdict: Verdict
    stops: bool = True
    place: str | None = None


@dataclass(frozen=True)
class Plan:
    """The keybox from above; mm. Arrays have shape (S, K), S = 1 or 2 strings; NaN: not known.

    ``at_mm`` place of each tangent from the nut, ``gap_mm`` from its face to the surface of its
    string, ``back_mm`` (K,) its thickness from face to back, ``travel_mm`` (K,) of the key.
    ``spacing_mm`` between the middles of both strings at nut and bridge. ``amplitude_mm`` (S,) of
    the open strings in their middle, zero to peak. ``press_mm``: how far a key bends the string.
    """

    length_mm: float
    keys: tuple[int, ...]
    at_mm: Floats
    gap_mm: Floats
    back_mm: Floats
    travel_mm: Floats
    diameter_mm: Floats
    spacing_mm: tuple[float, float]
    amplitude_mm: Floats
    press_mm: float
    u_gap_mm: float
    u_press_mm: float
    u_amplitude_mm: float
    u_spacing_mm: float


def deflection_mm(x_mm: Floats, held_at_mm: float, length_mm: float, press_mm: float) -> Floats:
    """Return how far the string stands aside at ``x_mm``, shape (N,), with one tangent pushing.

    ``p·x/a`` up to the tangent at a, ``p·(L − x)/(L − a)`` beyond it; 0 without a push.
    """
    x = np.asarray(x_mm, dtype=np.float64)
    if press_mm == 0.0 or held_at_mm <= 0.0:
        return np.zeros_like(x)
    before = press_mm * x / held_at_mm
    beyond = press_mm * (length_mm - x) / (length_mm - held_at_mm)
    return np.where(x <= held_at_mm, before, beyond)


def amplitude_mm(x_mm: Floats, held_at_mm: float, length_mm: float, open_mm: float) -> Floats:
    """Return the sideways amplitude of the sounding part at ``x_mm``; 0 behind the tangent.

    The wheel's rim moves across the strings, and so do they. A bowed string runs along two
    parabolas, ``A·4ξ(1 − ξ)`` between its ends (Helmholtz). With a steady wheel at a fixed place
    its height ``v/(8·f·β)`` goes with the square of the sounding length, since f and β both go
    with its inverse: ``A = A_open·((L − a)/L)²``. Source: Fletcher & Rossing, ch. 10 (from
    memory).
    """
    sounding = length_mm - held_at_mm
    share = (np.asarray(x_mm, dtype=np.float64) - held_at_mm) / sounding
    inside = (share > 0.0) & (share < 1.0)
    top = open_mm * (sounding / length_mm) ** 2
    return np.where(inside, top * 4.0 * share * (1.0 - share), 0.0)


def plan_checks(plan: Plan, limits: dict[str, Limit]) -> list[Check]:
    """Return the checks in plan: gaps and contact of each key, and clearances for each note.

    For each note and kind only the tightest tangent of each string is kept.
    """
    found = list(_at_rest(plan, limits))
    for place, note in enumerate((0, *plan.keys)):
        for string in range(len(plan.at_mm)):
            own = _own(plan, place - 1, string)
            found += _tightest(plan, "clear_own", note, string, own, limits)
            other = _other(plan, place - 1, string)
            found += _tightest(plan, "clear_other", note, string, other, limits)
    return found


def _at_rest(plan: Plan, limits: dict[str, Limit]) -> Iterator[Check]:
    u_pair = math.sqrt(2.0) * plan.u_gap_mm
    for k, key in enumerate(plan.keys):
        gaps = plan.gap_mm[:, k]
        for s, gap in enumerate(gaps):
            if np.isfinite(gap):
                verdict = judge(float(gap), plan.u_gap_mm, limits["rest_gap_mm"])
                # A gap beside the usual one is a matter of touch: the note sounds all the same.
                yield Check("rest_gap", key, key, s + 1, verdict, stops=False)
        if len(gaps) == 2 and np.isfinite(gaps).all():
            verdict = judge(float(gaps[0] - gaps[1]), u_pair, limits["together_mm"])
            # A string met early is pushed on until the other is met, and sounds sharper by that.
            yield Check("together", key, key, None, verdict)
        if np.isfinite(plan.travel_mm[k]) and np.isfinite(gaps).any():
            spare = float(plan.travel_mm[k] - np.nanmax(gaps) - plan.press_mm)
            u = math.hypot(plan.u_gap_mm, plan.u_press_mm, plan.u_gap_mm)
            yield Check("reach", key, key, None, judge(spare, u, limits["reach_mm"]))


Row = tuple[Floats, Floats]  # clearance of each key's tangent and its u, NaN where not concerned


def push_mm(plan: Plan, held: int) -> tuple[Floats, Floats, float]:
    """Return how far a held key (place ``held``, −1 none) bends each string, u, and its travel.

    A key goes on until the string met last is bent by ``press_mm``; the other, met earlier, is
    bent by so much more.
    """
    strings = len(plan.at_mm)
    if held < 0 or not np.isfinite(plan.gap_mm[:, held]).any():
        return np.zeros(strings), np.zeros(strings), 0.0
    gaps = plan.gap_mm[:, held]
    widest = float(np.nanmax(gaps))
    push = np.nan_to_num(widest - gaps + plan.press_mm)
    early = np.where(gaps < widest, math.sqrt(2.0) * plan.u_gap_mm, 0.0)
    return push, np.hypot(plan.u_press_mm, early), widest + plan.press_mm


def _bent(plan: Plan, held: int, string: int, x_mm: Floats) -> tuple[Floats, Floats, Floats]:
    """Sideways place of a string at x, its amplitude there, and the u of both together."""
    push, u_push, _travel = push_mm(plan, held)
    at = float(plan.at_mm[string, held]) if held >= 0 else 0.0
    at = at if math.isfinite(at) else 0.0
    aside = deflection_mm(x_mm, at, plan.length_mm, float(push[string]))
    swing = amplitude_mm(x_mm, at, plan.length_mm, float(plan.amplitude_mm[string]))
    by_push = deflection_mm(x_mm, at, plan.length_mm, 1.0) * u_push[string]
    by_swing = amplitude_mm(x_mm, at, plan.length_mm, 1.0) * plan.u_amplitude_mm
    return aside, swing, np.hypot(by_push, by_swing)


def _own(plan: Plan, held: int, string: int) -> Row:
    """Clearance of the tangents nearer the bridge from the vibrating part of their own string.

    ``gap + aside − amplitude``: the held key takes the string away from them, vibration brings
    it back.
    """
    x = plan.at_mm[string]
    aside, swing, u = _bent(plan, held, string, x)
    clear = plan.gap_mm[string] + aside - swing
    at = plan.at_mm[string, held] if held >= 0 else 0.0
    nearer = x > at if math.isfinite(at) else np.zeros(len(x), dtype=bool)
    return np.where(nearer, clear, np.nan), np.hypot(u, plan.u_gap_mm)


def _other(plan: Plan, held: int, string: int) -> Row:
    """Clearance of the tangents of the other string from this one, wherever they stand.

    From string 1 to the back of tangent 2: ``spacing − r₁ − r₂ − gap₂ − back − aside₁ −
    amplitude₁``; from string 2 to the face of tangent 1: ``spacing + r₁ − r₂ + gap₁ + aside₂ −
    amplitude₂``. The held key's own tangent has travelled with it.
    """
    nothing = np.full(len(plan.keys), np.nan)
    if len(plan.at_mm) < 2:
        return nothing, nothing
    other = 1 - string
    x = plan.at_mm[other]
    aside, swing, u = _bent(plan, held, string, x)
    first, last = plan.spacing_mm
    spacing = first + (last - first) * x / plan.length_mm
    radii = plan.diameter_mm / 2.0
    travelled = np.zeros(len(x))
    if held >= 0:
        travelled[held] = push_mm(plan, held)[2]
    if string == 0:
        room = spacing - radii.sum() - plan.gap_mm[1] - plan.back_mm + travelled
        return room - aside - swing, np.hypot(u, math.hypot(plan.u_spacing_mm, plan.u_gap_mm))
    room = spacing + radii[0] - radii[1] + plan.gap_mm[0] - travelled
    return room + aside - swing, np.hypot(u, math.hypot(plan.u_spacing_mm, plan.u_gap_mm))


def _tightest(
    plan: Plan, kind: Kind, note: int, string: int, row: Row, limits: dict[str, Limit]
) -> list[Check]:
    clear, u = row
    if not np.isfinite(clear).any():
        return []
    k = int(np.nanargmin(clear))
    verdict = judge(float(clear[k]), float(u[k]), limits[f"{kind}_mm"])
    return [Check(kind, note, plan.keys[k], string + 1, verdict)]
