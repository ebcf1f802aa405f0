"""Moves of two strings of one key that cannot go together."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.verdict import K, Limit, Verdict, judge
from repairs.gauges.keys.correction import (
    DEFAULT_LIMITS,
    ChanterCorrection,
    ChanterReading,
    KeyCorrection,
)
from repairs.gauges.keys.keyboard import cents_at_mm, from_nut_mm

Code = Literal["fixed_double", "not_together"]


@dataclass(frozen=True)
class Conflict:
    """Two strings of one key that cannot both be put right, or not met together afterwards.

    ``fixed_double``: one piece serves both; ``common_mm`` is the move between the two wanted ones
    and ``left_cents`` what stays on each string. ``not_together``: after the turns one string
    would be met ``apart_mm`` before the other (``verdict`` against the limit).
    """

    key: int
    code: Code
    strings: tuple[str, str]
    apart_mm: float
    u_apart_mm: float
    common_mm: float | None = None
    left_cents: tuple[float, float] | None = None
    verdict: Verdict | None = None


def conflicts(
    readings: Sequence[ChanterReading],
    done: Sequence[ChanterCorrection],
    keys: Sequence[tuple[int, float]],
    fixed: Sequence[int],
    house: Mapping[str, Limit] = DEFAULT_LIMITS,
) -> tuple[Conflict, ...]:
    """Return the conflicts between neighbouring strings, key by key.

    ``fixed`` names the keys whose tangents are one piece. A fixed double is in conflict when its
    two moves differ by more than ``K`` times their uncertainty; tangents that turn alone are when
    the gaps left after the turns differ by more than the limit, or may do so.
    """
    place = {key: i for i, (key, _) in enumerate(keys)}
    found = []
    for a in range(len(done) - 1):
        pairs = {k.key: k for k in done[a + 1].keys}
        for one in done[a].keys:
            other = pairs.get(one.key)
            if other is None:
                continue
            lengths = (readings[a].length_mm, readings[a + 1].length_mm)
            names = (done[a].name, done[a + 1].name)
            if one.key in fixed:
                bases = (done[a].basis, done[a + 1].basis)
                conflict = _fixed_double(one, other, bases, names, lengths)
            else:
                i = place[one.key]
                gaps = (readings[a].gaps_mm[i], readings[a + 1].gaps_mm[i])
                conflict = _apart(one, other, gaps, names, house["together_mm"])
            if conflict:
                found.append(conflict)
    return tuple(found)


def _fixed_double(
    one: KeyCorrection,
    other: KeyCorrection,
    bases: tuple[str, str],
    names: tuple[str, str],
    lengths: tuple[float, float],
) -> Conflict | None:
    moves, us, offs = [], [], []
    for k, basis in zip((one, other), bases, strict=True):
        after = basis == "after_scale"
        moves.append(k.move_after_mm if after else k.move_mm)
        us.append(k.u_move_after_mm if after else k.u_move_mm)
        offs.append(k.off_after_cents if after else k.off_cents)
    apart, u = moves[0] - moves[1], math.hypot(*us)
    if {one.action, other.action} <= {"leave", "measure_again"} or abs(apart) <= K * u:
        return None
    # The piece can take one move only: halfway, so that neither string is sacrificed.
    common = (moves[0] + moves[1]) / 2.0
    left = []
    for length, off in zip(lengths, offs, strict=True):
        place = from_nut_mm(length, one.wanted_cents + off) + common
        left.append(cents_at_mm(length, place) - one.wanted_cents)
    return Conflict(one.key, "fixed_double", names, apart, u, common, (left[0], left[1]))


def _apart(
    one: KeyCorrection,
    other: KeyCorrection,
    gaps: tuple[float | None, float | None],
    names: tuple[str, str],
    limit: Limit,
) -> Conflict | None:
    """Gaps after the turns; without measured gaps the strings are taken to be met together now."""
    turns = [k.turn if k.action == "turn" else None for k in (one, other)]
    if not any(turns):
        return None
    known = gaps[0] is not None and gaps[1] is not None
    after = [
        (gap if known and gap is not None else 0.0) - (turn.lateral_mm if turn else 0.0)
        for gap, turn in zip(gaps, turns, strict=True)
    ]
    u = math.hypot(*(turn.u_lateral_mm if turn else 0.0 for turn in turns))
    verdict = judge(after[0] - after[1], u, limit)
    if verdict.word in ("inside", "not_judged"):
        return None
    return Conflict(one.key, "not_together", names, verdict.value, u, verdict=verdict)
