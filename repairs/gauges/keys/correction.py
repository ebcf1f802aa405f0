"""From cents per key to what is to be done to each tangent, and which moves cannot go together.

Lengths run along the string from the nut towards the bridge: a move > 0 goes towards the bridge
and sharpens. A turn > 0 swings the tangent's flag towards the bridge. ``lateral_mm`` > 0 brings the
flag nearer to the string, so that it is met earlier. Moves are per tangent; each string is read
alone, the other off the wheel.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.propagation import Values, spread
from repairs.gauges.base.verdict import Limit, Verdict, judge
from repairs.gauges.keys.keyboard import from_nut_mm
from repairs.gauges.keys.press import Press, by_two_presses
from repairs.gauges.keys.scalefit import SURE_PCT, ScaleFit, fit_scale
from repairs.gauges.keys.temperament import FIFTH, PER_OCTAVE, ratio_cents

VERSION = "correction 3"

Action = Literal["leave", "measure_again", "turn", "re_pin", "move", "bend", "wait"]

# The drone sounds under every note, so that its octave, fifth and major third beat audibly where
# they are not pure; other notes are forgiven more. Order of priority: the trade's tangent tuning.
PURE_CENTS = (0.0, ratio_cents(5 / 4), FIFTH, PER_OCTAVE)
# How far an octave, fifth or third of some temperament may stand from pure and still be one.
# The widest of the six temperaments is a Pythagorean third, 21.5 cents above pure.
NEAR_CENTS = 25.0
DEFAULT_LIMITS: Mapping[str, Limit] = {
    "pure_cents": Limit(-2.0, 2.0, "cents"),
    "other_cents": Limit(-5.0, 5.0, "cents"),
    "both_cents": Limit(-2.0, 2.0, "cents"),
    "differ_cents": Limit(-2.0, 2.0, "cents"),
    "together_mm": Limit(-0.1, 0.1, "mm", "common practice: both tangents touch at once"),
    "rest_gap_mm": Limit(1.0, 2.0, "mm"),
}


@dataclass(frozen=True)
class Flag:
    """How a tangent's flag sits on its pin: ``offset_mm`` from the pin's axis, now turned by
    ``turn_deg`` from pointing straight at the string; ``most_deg`` is where it stops to meet it."""

    offset_mm: float
    turn_deg: float = 0.0
    # Further round the flag would meet the string with its edge, and mark it.
    most_deg: float = 45.0
    u_offset_mm: float = 0.1


@dataclass(frozen=True)
class Turn:
    """A turn that moves the contact by a wanted amount; None where the flag cannot reach."""

    turn_deg: float
    u_turn_deg: float
    lateral_mm: float
    u_lateral_mm: float


@dataclass(frozen=True)
class KeyCorrection:
    """One tangent of one string. ``…_after`` is with the fault of the whole scale taken out.

    ``action`` is ``leave``, ``measure_again``, ``turn``, ``re_pin`` (beyond the flag's reach) or
    ``move`` (the flag's offset is not known), for the ``basis`` of the string and for its pitch
    alone; the gauge puts that of the whole key in its place (``bend``), or ``wait`` where something
    comes before every tangent.
    """

    key: int
    wanted_cents: float
    measured_cents: float
    off_cents: float
    u_off_cents: float
    verdict: Verdict
    move_mm: float
    u_move_mm: float
    off_after_cents: float
    u_off_after_cents: float
    verdict_after: Verdict
    move_after_mm: float
    u_move_after_mm: float
    action: Action
    turn: Turn | None


@dataclass(frozen=True)
class ChanterReading:
    """What was measured on one string: per key of ``keys`` the cents above its open string.

    None where a key was not measured. ``open_cents`` is what was taken off for the open string,
    ``u_open_cents`` its uncertainty, None when it was not read. ``flags`` and ``gaps_mm`` (from
    tangent to string at rest) go with the keys, None where not known; so does ``firm_cents``, read
    with a firm press. ``press`` is what the string's law says of pressing, one for each key.
    """

    name: str
    length_mm: float
    measured_cents: Sequence[float | None]
    flags: Sequence[Flag | None]
    gaps_mm: Sequence[float | None]
    open_cents: float = 0.0
    u_cents: float = 0.5
    u_open_cents: float | None = 0.5
    u_length_mm: float = 0.5
    firm_cents: Sequence[float | None] = ()
    press: Press | None = None


@dataclass(frozen=True)
class ChanterCorrection:
    """``basis`` says which column the actions follow: ``as_stands`` or ``after_scale``."""

    name: str
    basis: str
    fit: ScaleFit | None
    keys: tuple[KeyCorrection, ...]
    wrong_keys: tuple[int, ...]


def limit_for(wanted_cents: float, house: Mapping[str, Limit]) -> Limit:
    """Return the limit of a note: narrow for octave, fifth and major third to the open string."""
    within = wanted_cents % PER_OCTAVE
    near = min(abs(within - pure) for pure in PURE_CENTS)
    return house["pure_cents" if near <= NEAR_CENTS else "other_cents"]


def move_mm(length_mm: float, is_cents: float, wanted_cents: float) -> float:
    """Return how far a tangent is to be moved, mm, towards the bridge positive.

    x = L·(1 − 2^(−c/1200)) wanted, less the same as it is. Source: geometry.
    """
    return from_nut_mm(length_mm, wanted_cents) - from_nut_mm(length_mm, is_cents)


def turn_for(move: float, u_move: float, flag: Flag) -> Turn | None:
    """Return the turn of a flag that moves its contact by ``move`` mm along the string.

    With the offset o and the turn φ from pointing straight at the string, the contact stands
    o·sin φ along the string and o·cos φ towards it: sin φ₁ = sin φ₀ + m/o. None when the flag does
    not reach so far, or would stand beyond ``most_deg``. Source: geometry.
    """
    values = {"m": move, "o": flag.offset_mm}
    us = {"m": u_move, "o": flag.u_offset_mm}
    start = math.radians(flag.turn_deg)

    def sine(v: Values) -> float:
        return math.sin(start) + v["m"] / v["o"] if v["o"] > 0 else math.copysign(9.0, v["m"])

    if abs(sine(values)) > math.sin(math.radians(min(flag.most_deg, 89.0))):
        return None

    def turned(v: Values) -> float:
        return math.degrees(math.asin(max(-1.0, min(1.0, sine(v)))) - start)

    def nearer(v: Values) -> float:
        return v["o"] * (math.cos(start + math.radians(turned(v))) - math.cos(start))

    return Turn(
        turned(values), spread(turned, values, us), nearer(values), spread(nearer, values, us)
    )


def correct(
    keys: Sequence[tuple[int, float]],
    reading: ChanterReading,
    basis: str | None = None,
    house: Mapping[str, Limit] = DEFAULT_LIMITS,
) -> ChanterCorrection:
    """Return what is to be done to each measured tangent of one string.

    ``keys`` are pairs of key and wanted cents. The whole scale is fitted first; without a wanted
    ``basis`` the tangents are corrected after the scale when that is wrong with ``SURE_PCT``, for
    then bridge or nut come first. Unmeasured keys are left out.
    """
    at = [i for i, cents in enumerate(reading.measured_cents) if cents is not None]
    wanted = np.array([keys[i][1] for i in at], dtype=np.float64)
    measured = np.array([reading.measured_cents[i] for i in at], dtype=np.float64)
    off = measured - wanted
    press = _press(reading, at, wanted)
    fit = fit_scale(wanted, off, reading.length_mm, reading.u_cents, reading.u_open_cents, press)
    if basis is None:
        wrong = fit is not None and fit.explanation != "right" and fit.scale_wrong_pct >= SURE_PCT
        basis = "after_scale" if wrong else "as_stands"
    fitted = np.zeros_like(off) if fit is None else fit.fitted_cents
    u_fitted = np.zeros_like(off) if fit is None else fit.u_fitted_cents
    lines = tuple(
        _one_key(
            keys[i],
            reading,
            reading.flags[i],
            (float(off[n]), float(off[n] - fitted[n]), float(u_fitted[n])),
            basis,
            house,
        )
        for n, i in enumerate(at)
    )
    judged = [(k.key, k.verdict_after if basis == "after_scale" else k.verdict) for k in lines]
    wrong_keys = tuple(key for key, verdict in judged if verdict.word == "outside")
    return ChanterCorrection(reading.name, basis, fit, lines, wrong_keys)


def _press(reading: ChanterReading, at: Sequence[int], wanted: Floats) -> Press | None:
    """What is known of pressing: two presses before the string's law, the law before nothing."""
    if reading.firm_cents:
        more = np.array([_less(reading.firm_cents[i], reading.measured_cents[i]) for i in at])
        if np.isfinite(more).any():
            ratios = 2.0 ** (wanted / PER_OCTAVE)
            return by_two_presses(ratios, more, math.sqrt(2.0) * reading.u_cents)
    known = reading.press
    if known is None:
        return None
    return Press(known.shape_cents[list(at)], known.mean, known.u, known.source)


def _less(firm: float | None, light: float | None) -> float:
    return math.nan if firm is None or light is None else firm - light


def _one_key(
    key: tuple[int, float],
    reading: ChanterReading,
    flag: Flag | None,
    off: tuple[float, float, float],
    basis: str,
    house: Mapping[str, Limit],
) -> KeyCorrection:
    """``off`` is the key's error, the same after the scale, and what the fit adds in doubt."""
    wanted, limit = key[1], limit_for(key[1], house)
    u_after = math.hypot(reading.u_cents, off[2])
    u_off = math.hypot(reading.u_cents, reading.u_open_cents or 0.0)
    verdict = judge(off[0], u_off, limit)
    verdict_after = judge(off[1], u_after, limit)
    move, u_move = _move(reading, wanted, off[0], u_off)
    move_after, u_move_after = _move(reading, wanted, off[1], u_after)
    use = (verdict_after, move_after, u_move_after)
    if basis == "as_stands":
        use = (verdict, move, u_move)
    turn = turn_for(use[1], use[2], flag) if flag else None
    return KeyCorrection(
        key=key[0],
        wanted_cents=wanted,
        measured_cents=wanted + off[0],
        off_cents=off[0],
        u_off_cents=u_off,
        verdict=verdict,
        move_mm=move,
        u_move_mm=u_move,
        off_after_cents=off[1],
        u_off_after_cents=u_after,
        verdict_after=verdict_after,
        move_after_mm=move_after,
        u_move_after_mm=u_move_after,
        action=_action(use[0], flag, turn),
        turn=turn,
    )


def _move(reading: ChanterReading, wanted: float, off: float, u_off: float) -> tuple[float, float]:
    """The move for one error, with doubt from the reading and from the length."""
    values = {"c": wanted + off, "length": reading.length_mm}
    us = {"c": u_off, "length": reading.u_length_mm}

    def law(v: Values) -> float:
        return move_mm(v["length"], v["c"], wanted)

    return law(values), spread(law, values, us)


def _action(verdict: Verdict, flag: Flag | None, turn: Turn | None) -> Action:
    if verdict.word == "inside" or verdict.word == "not_judged":
        return "leave"
    # Turning one tangent of an old keyboard destroys what it tells of its temperament: a doubtful
    # note is read again before it is touched.
    if verdict.word == "doubtful":
        return "measure_again"
    if flag is None:
        return "move"
    return "turn" if turn else "re_pin"
