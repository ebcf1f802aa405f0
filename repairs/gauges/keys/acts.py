"""What the hands can do to one tangent: where its face then meets the string, and at what cost.

Along the string > 0 is towards the bridge (so towards the wheel); near > 0 is nearer to the string.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.verdict import K, Limit, Word
from repairs.gauges.keys.correction import Flag
from repairs.gauges.keys.keyboard import CENTS_PER_E

Verb = Literal["leave", "measure_again", "turn", "move", "re_pin", "bend"]

# Least movement, told as millimetres of a turned flag; figures of the house. A turn is undone by
# turning back, a new pin leaves a hole; what is bent has been bent once.
RE_PIN, BEND, SHIM = 3.0, 0.3, 0.2
BEND_PER_MM, SHIM_PER_MM = 2.0, 1.0
# A limit that is passed weighs more than any act, and the further the more.
PASSED, PASSED_PER_LIMIT = 20.0, 20.0
# Who turns a tangent turns it to the right place: to stay half a limit beside it must save the
# other tangent a bend.
BESIDE = 1.5
MOST_BEND_MM = 0.5  # further, a pin of wood or brass wire breaks or comes back (common practice)
MOST_SHIM_MM = 1.0  # under the stop of a key, and the same taken off its felt (common practice)
MOST_RE_PIN_MM = 3.0  # beyond, the pin leaves the shank (common practice)
_STEPS = 25


@dataclass(frozen=True)
class Found:
    """One tangent as found. ``is_mm`` is what sounds between it and the bridge.

    ``off_cents`` is the error of its note (sharp positive) with its standard uncertainty,
    ``verdict`` the word for it. Without a ``flag`` or a ``gap_mm`` neither was measured.
    """

    string: str
    off_cents: float
    u_off_cents: float
    verdict: Word
    limit: Limit
    is_mm: float
    flag: Flag | None = None
    gap_mm: float | None = None

    @property
    def exact_mm(self) -> float:
        """The way along the string that makes the note right: B·(1 − 2^(off/1200))."""
        return self.is_mm * (1.0 - 2.0 ** (self.off_cents / 1200.0))

    def off_after(self, along_mm: Floats) -> Floats:
        """The error in cents after a way along the string; shape as given. Source: geometry."""
        return self.off_cents - CENTS_PER_E * np.log1p(-along_mm / self.is_mm)


@dataclass(frozen=True)
class Ways:
    """Ways to treat one tangent, shape (W,) each: where its face goes, and what that costs."""

    verbs: Sequence[Verb]
    along_mm: Floats
    near_mm: Floats
    cost: Floats


def ways_of(found: Found) -> Ways:
    """Return every way that is open to one tangent, leaving it alone the first.

    A note that is right may be turned as far as it stays surely right; a doubtful one is read again
    before it is touched. Costs hold what the pitch is left at.
    """
    keep: Verb = "measure_again" if found.verdict == "doubtful" else "leave"
    rows: list[tuple[Verb, float, float, float]] = [(keep, 0.0, 0.0, 0.0)]
    if found.verdict != "doubtful":
        rows += _turns(found)
    if found.verdict == "outside" and abs(found.exact_mm) <= MOST_RE_PIN_MM:
        verb: Verb = "move" if found.flag is None else "re_pin"
        more = 0.0 if found.flag is None else RE_PIN
        rows.append((verb, found.exact_mm, 0.0, more + abs(found.exact_mm)))
    along = np.array([row[1] for row in rows])
    cost = np.array([row[3] for row in rows]) + _pitch_cost(found, along)
    return Ways([row[0] for row in rows], along, np.array([row[2] for row in rows]), cost)


def _turns(found: Found) -> list[tuple[Verb, float, float, float]]:
    """Turns to the exact place and to others that keep the note surely right."""
    flag = found.flag
    if flag is None or flag.offset_mm <= 0.0:
        return []
    start = math.radians(flag.turn_deg)
    most = math.sin(math.radians(min(flag.most_deg, 89.0)))
    exact = [found.exact_mm] if found.verdict == "outside" else []
    rows: list[tuple[Verb, float, float, float]] = []
    turn: Verb = "turn"
    for along in [*exact, *_room_along(found)]:
        sine = math.sin(start) + along / flag.offset_mm
        if abs(sine) <= most:
            end = math.asin(sine)
            near = flag.offset_mm * (math.cos(end) - math.cos(start))
            rows.append((turn, along, near, flag.offset_mm * abs(end - start)))
    return rows


def _room_along(found: Found) -> list[float]:
    """Places along the string, from end to end of where the note is surely right."""
    lower, upper, guard = found.limit.lower, found.limit.upper, K * found.u_off_cents
    if lower is None or upper is None or upper - lower <= 2.0 * guard:
        return []
    offs = np.linspace(lower + guard, upper - guard, _STEPS)
    return list(found.is_mm * (1.0 - np.exp((found.off_cents - offs) / CENTS_PER_E)))


def _pitch_cost(found: Found, along: Floats) -> Floats:
    """What the note costs where it is left; nothing where it is not judged or is read again."""
    if found.verdict in ("doubtful", "not_judged"):
        return np.zeros(len(along))
    off = found.off_after(along)
    is_right = found.verdict == "inside"
    over, half = passed(off, found.limit, K * found.u_off_cents if is_right else 0.0)
    beside = np.abs(off) - (abs(found.off_cents) if is_right else 0.0)
    return weigh(over, half) + BESIDE * np.maximum(beside, 0.0) / half


def passed(value: Floats, limit: Limit, guard: float) -> tuple[Floats, float]:
    """By how much a value passes its limit and the guard band, and half the limit's width."""
    lower = -math.inf if limit.lower is None else limit.lower
    upper = math.inf if limit.upper is None else limit.upper
    over = np.maximum(np.maximum(lower - guard - value, value - upper - guard), 0.0)
    half = (upper - lower) / 2.0
    return over, half if math.isfinite(half) and half > 0.0 else 1.0


def weigh(over: Floats, half: float) -> Floats:
    """The cost of a limit that is passed: a rounding error is none."""
    return np.where(over > 1e-9, PASSED + PASSED_PER_LIMIT * over / half, 0.0)
