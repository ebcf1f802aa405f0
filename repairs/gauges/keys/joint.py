"""One answer for a key: pitch, gap at rest and the meeting of both strings, served together.

Every way to treat the one tangent is tried with every way to treat the other, with bending and with
shimming; what costs least is the answer. A turn for one aim counts what it does to the others.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.verdict import K, Limit, Verdict, Word, judge
from repairs.gauges.keys import acts
from repairs.gauges.keys.acts import Found, Verb, Ways, passed, ways_of, weigh
from repairs.gauges.keys.correction import Turn, turn_for

U_GAP_MM = 0.05  # drill shanks or paper of known thickness between string and flag
Serves = Literal["two_tangents", "other_flag", "other_shank"]


@dataclass(frozen=True)
class Act:
    """What is done to one tangent: one act along the string, and a bend beside it.

    ``bend_mm`` > 0 is nearer to the string. ``turn`` is None unless ``verb`` is ``turn``; the
    figures ``…_after`` are expected, ``verdict_after`` the word for the pitch then.
    """

    string: str
    verb: Verb
    along_mm: float
    turn: Turn | None
    bend_mm: float
    off_cents: float
    off_after_cents: float
    verdict_after: Word
    gap_after_mm: float | None


@dataclass(frozen=True)
class KeyAnswer:
    """One key. ``shim_mm`` > 0 brings both tangents nearer, < 0 takes both away. ``apart_mm`` is
    the gap of the first less that of the second afterwards, None where nothing tells it.
    ``serves`` says what would serve where a limit is passed, ``short_…`` by how much it is.
    """

    key: int
    acts: tuple[Act, ...]
    shim_mm: float
    apart_mm: float | None
    apart: Verdict | None
    serves: Serves | None
    short_cents: float
    short_mm: float


@dataclass(frozen=True)
class _Rest:
    """Bends and shim for pairs of ways, shape (W, V): cost, bends, shim, apart."""

    cost: Floats
    bends: tuple[Floats, Floats]
    shim: Floats


def answer(
    key: int,
    tangents: Sequence[Found],
    house: Mapping[str, Limit],
    least_gap_mm: float | None = None,
    u_gap_mm: float = U_GAP_MM,
) -> KeyAnswer:
    """Return what is to be done to the one or two tangents of a key.

    ``house`` holds ``rest_gap_mm`` and ``together_mm``. ``least_gap_mm`` is the room that the
    swinging string wants at this key: the limit of the gap is narrowed by it.
    """
    pair = [*tangents[:2]]
    ways = [ways_of(one) for one in pair]
    gap = _gap_limit(house["rest_gap_mm"], least_gap_mm)
    rests = [_rest(pair, ways, how, (gap, house["together_mm"]), u_gap_mm) for how in range(8)]
    total = np.stack([one.cost for one in rests]) + _of_ways(ways)
    how, *which = np.unravel_index(int(np.argmin(total)), total.shape)
    rest, at = rests[int(how)], tuple(int(one) for one in which)
    bends = tuple(float(one[at]) for one in rest.bends)
    shim = float(rest.shim[at]) + 0.0
    made = tuple(
        _act(one, way, at[n], bends[n], shim)
        for n, (one, way) in enumerate(zip(pair, ways, strict=True))
    )
    return _told(key, pair, made, shim, (gap, house["together_mm"]), u_gap_mm)


def _gap_limit(limit: Limit, least_mm: float | None) -> Limit:
    if least_mm is None or (limit.lower is not None and least_mm <= limit.lower):
        return limit
    upper = limit.upper if limit.upper is None else max(limit.upper, least_mm)
    return Limit(least_mm, upper, limit.unit, limit.source)


def _of_ways(ways: Sequence[Ways]) -> Floats:
    if len(ways) == 1:
        return np.asarray(ways[0].cost[:, None])
    return np.asarray(ways[0].cost[:, None] + ways[1].cost[None, :])


def _gaps(pair: Sequence[Found], ways: Sequence[Ways]) -> list[Floats]:
    """Gaps after each pair of ways, shape (W, V); counted from 0 where they were not measured."""
    is_known = all(one.gap_mm is not None for one in pair)
    gaps = []
    for n, (one, way) in enumerate(zip(pair, ways, strict=True)):
        after = (one.gap_mm if is_known and one.gap_mm is not None else 0.0) - way.near_mm
        gaps.append(after[:, None] if n == 0 else after[None, :])
    return gaps


def _rest(
    pair: Sequence[Found],
    ways: Sequence[Ways],
    how: int,
    limits: tuple[Limit, Limit],
    u_gap_mm: float,
) -> _Rest:
    """Bend none, the first, the second or each by half (``how`` // 2), and shim if it is odd."""
    gaps = _gaps(pair, ways)
    apart = gaps[0] - gaps[1] if len(pair) == 2 else np.zeros_like(gaps[0])
    zero = np.zeros(np.broadcast(*gaps, *gaps).shape)
    most = acts.MOST_BEND_MM
    bend, is_shimmed = divmod(how, 2)
    share = ((0.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.5, -0.5))[bend]
    bends = [np.clip(zero + part * apart, -most, most) for part in share]
    after = [gap - bent for gap, bent in zip(gaps, bends, strict=False)]
    is_known = all(one.gap_mm is not None for one in pair)
    shim = _shim(after, limits[0], u_gap_mm) if is_shimmed and is_known else zero
    cost = zero + sum(
        np.where(np.abs(one) > 1e-9, acts.BEND + acts.BEND_PER_MM * np.abs(one), 0.0)
        for one in bends
    )
    cost = cost + np.where(np.abs(shim) > 1e-9, acts.SHIM + acts.SHIM_PER_MM * np.abs(shim), 0.0)
    if is_known:
        for one in after:
            cost = cost + weigh(*passed(one - shim, limits[0], K * u_gap_mm))
    if len(pair) == 2:
        left = after[0] - after[1]
        cost = cost + weigh(*passed(left, limits[1], K * _u_apart(pair, u_gap_mm)))
    return _Rest(np.asarray(cost), (bends[0], bends[1]), shim)


def _u_apart(pair: Sequence[Found], u_gap_mm: float) -> float:
    """Of the difference of two gaps; taken as met together now, nothing was read."""
    return math.sqrt(2.0) * u_gap_mm if all(one.gap_mm is not None for one in pair) else 0.0


def _shim(after: Sequence[Floats], limit: Limit, u_gap_mm: float) -> Floats:
    """The least shim that brings a gap that is surely wrong back to its limit."""
    low = np.minimum(after[0], after[-1])
    high = np.maximum(after[0], after[-1])
    shim = np.zeros_like(low)
    if limit.upper is not None:
        shim = np.where(high > limit.upper + K * u_gap_mm, high - limit.upper, shim)
    if limit.lower is not None:
        shim = np.where(low < limit.lower - K * u_gap_mm, low - limit.lower, shim)
    return np.clip(shim, -acts.MOST_SHIM_MM, acts.MOST_SHIM_MM)


def _act(one: Found, ways: Ways, place: int, bend: float, shim: float) -> Act:
    verb, along = ways.verbs[place], float(ways.along_mm[place])
    turn = None
    if verb == "turn" and one.flag is not None:
        u = abs(one.is_mm / 1731.2) * one.u_off_cents
        turn = turn_for(along, u, one.flag)
    off = float(one.off_after(np.array([along]))[0])
    gap = None if one.gap_mm is None else one.gap_mm - float(ways.near_mm[place]) - bend - shim
    if verb == "leave" and bend:
        verb = "bend"
    word = judge(off, one.u_off_cents, one.limit).word
    return Act(one.string, verb, along, turn, bend + 0.0, one.off_cents, off, word, gap)


def _told(
    key: int,
    pair: Sequence[Found],
    made: tuple[Act, ...],
    shim: float,
    limits: tuple[Limit, Limit],
    u_gap_mm: float,
) -> KeyAnswer:
    """What is left when all is done, and what would serve it."""
    apart = _apart(pair, made)
    verdict = None if apart is None else judge(apart, _u_apart(pair, u_gap_mm), limits[1])
    cents = max(_short(act, one) for act, one in zip(made, pair, strict=True))
    gaps = [act.gap_after_mm for act in made if act.gap_after_mm is not None]
    short = max((_over(gap, limits[0], K * u_gap_mm) for gap in gaps), default=0.0)
    if verdict is not None and apart is not None and verdict.word == "outside":
        short = max(short, _over(apart, limits[1], 0.0))
    serves: Serves | None = "other_shank" if cents > 0.0 else "other_flag" if short > 0.0 else None
    return KeyAnswer(key, made, shim, apart, verdict, serves, cents, short)


def _short(act: Act, one: Found) -> float:
    return _over(act.off_after_cents, one.limit, 0.0) if act.verdict_after == "outside" else 0.0


def _over(value: float, limit: Limit, guard: float) -> float:
    over = float(passed(np.array([value]), limit, guard)[0][0])
    return over + guard if over > 1e-9 else 0.0


def _apart(pair: Sequence[Found], made: Sequence[Act]) -> float | None:
    """The gap of the first less that of the second; counted from 0 where none was measured."""
    if len(pair) < 2:
        return None
    first, second = made[0].gap_after_mm, made[1].gap_after_mm
    if first is not None and second is not None:
        return first - second
    near = [act.bend_mm + (act.turn.lateral_mm if act.turn else 0.0) for act in made]
    return near[1] - near[0] if any(near) else None


def one_piece(
    key: int, tangents: Sequence[Found], house: Mapping[str, Limit], u_gap_mm: float = U_GAP_MM
) -> KeyAnswer:
    """The same for a double tangent of one piece: one way for both, between the two wanted ones.

    The note that passes its limit by the greater share is served first; where both still do, only
    two tangents can serve them.
    """
    pair = [*tangents[:2]]
    limits = (house["rest_gap_mm"], house["together_mm"])
    touched = any(one.verdict == "outside" for one in pair)
    wanted = [one.exact_mm for one in pair]
    tried = np.linspace(min(wanted), max(wanted), 201) if touched else np.zeros(1)
    share = [np.abs(one.off_after(tried)) / passed(tried, one.limit, 0.0)[1] for one in pair]
    along = float(tried[int(np.argmin(np.max(share, axis=0)))])
    verb: Verb = "leave"
    if touched:
        verb = "move"
    elif any(one.verdict == "doubtful" for one in pair):
        verb = "measure_again"
    ways = Ways([verb], np.array([along]), np.zeros(1), np.zeros(1))
    made = tuple(_act(one, ways, 0, 0.0, 0.0) for one in pair)
    told = _told(key, pair, made, 0.0, limits, u_gap_mm)
    serves: Serves | None = "two_tangents" if told.serves else None
    return KeyAnswer(
        key, made, 0.0, told.apart_mm, told.apart, serves, told.short_cents, told.short_mm
    )
