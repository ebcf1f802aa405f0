"""What to raise, lower, turn or ease for a check that is not surely right, and by how much.

The least change that makes the check surely right: to its limit, and on by the guard band. Where
several flags of one string fail together and moving its nut (or the bridge end, where no wheel
bends the string) mends them all without spoiling another room, that one move is proposed instead.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

from repairs.gauges.action.changes import MENDS, Flag, Prescription, Verb, What
from repairs.gauges.action.merged import moved, one_each
from repairs.gauges.action.plan import Check, Kind
from repairs.gauges.action.side import SideCheck
from repairs.gauges.base.verdict import K, Word

VERSION = "action_advice 2"

LINE_KINDS: tuple[Kind, ...] = ("flag_low", "flag_high", "wall", "lid", "shank")
End = Literal["nut", "bridge"]
ENDS: tuple[End, ...] = ("nut", "bridge")
# A shank needs 0.1 to 0.3 mm of play and must fall by its own weight at 60 to 65 % RH.
EASE_SHANK_MM = 0.1  # a key that sticks, common practice


def shortfall_mm(check: Check) -> float:
    """Return what a one-sided room lacks to be surely inside; 0 when it lacks nothing."""
    limit, value = check.verdict.limit, check.verdict.value
    if limit is None or limit.lower is None:
        return 0.0
    return max(0.0, limit.lower + K * (check.verdict.u or 0.0) - value)


def advise(
    plan: Sequence[Check],
    side: Sequence[SideCheck],
    flags: Mapping[tuple[int, int], Flag],
) -> tuple[Prescription, ...]:
    """Return the changes for all checks that are outside or doubtful, in order of the notes.

    ``flags`` by (string, key). Each tangent gets at most one change across its string and one in
    height.
    """
    found: list[Prescription] = []
    for string in sorted({s.check.string or 0 for s in side}):
        found += _line(string, side, flags)
    for check in plan:
        if _fails(check):
            found += _one(check, flags)
    found = one_each(_greatest(found), flags)
    return tuple(sorted(found, key=lambda p: (p.word != "outside", p.note, p.key or 0)))


def _fails(check: Check) -> bool:
    """Outside, or doubtful where that may stop a note; a doubtful habit is left alone."""
    word = check.verdict.word
    return word == "outside" or (word == "doubtful" and check.stops)


def _line(
    string: int, side: Sequence[SideCheck], flags: Mapping[tuple[int, int], Flag]
) -> list[Prescription]:
    """Mend the side view of one string: by one end of it where that serves, else piece by piece."""
    mine = [s for s in side if s.check.string == string]
    failing = [s for s in mine if _fails(s.check)]
    of_line = [s for s in failing if s.check.kind in LINE_KINDS]
    # Two flags or more that are wrong alike speak of the string, not of its tangents: a shaving off
    # the nut can be undone with a shim, while every tangent that is moved loses its old place.
    if sum(s.check.verdict.word == "outside" for s in of_line) >= 2:
        moved = _best_end([s for s in mine if s.check.kind in LINE_KINDS])
        if moved is not None:
            rest = [s for s in failing if s.check.kind not in LINE_KINDS]
            first = min((s.check for s in of_line), key=lambda c: (c.note, c.key or 0))
            end, by, u = moved
            verb: Verb = "raise" if by > 0 else "lower"
            nut = Prescription(
                verb, end, None, string, None, abs(by), u, first.kind, first.note, "outside"
            )
            return [nut, *(p for s in rest for p in _one(s.check, flags))]
    return [p for s in failing for p in _one(s.check, flags)]


def _best_end(checks: Sequence[SideCheck]) -> tuple[End, float, float] | None:
    """The end of the string whose least move makes every room sure, or at least right."""
    for guard in (K, 0.0):
        moves = []
        for end in ENDS:
            move = _least_move(checks, end, guard)
            if move is not None:
                moves.append((end, *move))
        if moves:
            return min(moves, key=lambda move: abs(move[1]))
    return None


def _least_move(checks: Sequence[SideCheck], end: End, guard: float) -> tuple[float, float] | None:
    """The δ nearest to 0 with ``value + slope·δ >= limit + guard·u`` for all, and its u.

    None where no move serves all of them, or where none is needed.
    """
    low, high = (-math.inf, 0.0), (math.inf, 0.0)
    for found in checks:
        limit, slope = found.check.verdict.limit, found.by_nut if end == "nut" else found.by_bridge
        if limit is None or limit.lower is None:
            continue
        u = found.check.verdict.u or 0.0
        lacks = limit.lower + guard * u - found.check.verdict.value
        if abs(slope) < 1e-9:
            if lacks > 1e-9:
                return None
            continue
        bound = (lacks / slope, u / abs(slope))
        if slope > 0:
            low = max(low, bound)
        else:
            high = min(high, bound)
    if low[0] > high[0]:
        return None
    if low[0] > 0.0:
        return low
    return high if high[0] < 0.0 else None


def _one(check: Check, flags: Mapping[tuple[int, int], Flag]) -> list[Prescription]:
    """The change for one check by itself."""
    if check.kind == "together":
        return _together(check, flags)
    if check.kind == "rest_gap":
        return _rest_gap(check, flags)
    if check.kind in ("side_play", "returns"):
        return [_key(check)]
    verb, what = MENDS[check.kind]
    by = shortfall_mm(check)
    made = _made(check, verb, what, by)
    if check.kind == "clear_other" and check.string is not None:
        # The tangent to move stands at the other string. Tangent 2 stands between both: string 1
        # is freed of it by bringing it nearer to its own, string 2 of tangent 1 by taking it away.
        away = 1.0 if check.string == 2 else -1.0
        both = len({s for s, _k in flags}) > 1
        made = replace(made, string=3 - check.string, gap_change_mm=away * by)
        made = replace(made, also_other_string=both)
    if check.kind == "clear_own":
        both = len({s for s, _k in flags}) > 1
        made = replace(made, gap_change_mm=by, also_other_string=both)
    flag = flags.get((check.string or 0, check.key or 0))
    if check.kind in ("flag_low", "flag_high") and flag is not None:
        beyond = flag.room_mm is not None and flag.room_mm < 2.0 * K * (check.verdict.u or 0.0)
        made = replace(made, verb="repin") if beyond else made
    return [made]


def _made(check: Check, verb: Verb, what: What, by: float) -> Prescription:
    u = check.verdict.u or 0.0
    return Prescription(
        verb,
        what,
        check.key,
        check.string,
        check.place,
        by,
        u,
        check.kind,
        check.note,
        check.verdict.word,
    )


def _together(check: Check, flags: Mapping[tuple[int, int], Flag]) -> list[Prescription]:
    """Bring the tangent whose gap is further from the usual one to the gap of the other."""
    key = check.key or 0
    first, second = flags[(1, key)], flags[(2, key)]
    usual = 1.5  # mm, the middle of the usual 1 to 2 mm at rest (common practice)
    worse = 1 if abs(first.gap_mm - usual) >= abs(second.gap_mm - usual) else 2
    mine, other = (first, second) if worse == 1 else (second, first)
    change = other.gap_mm - mine.gap_mm
    return [moved(_made(replace(check, string=worse), "turn", "tangent", 0.0), mine, change)]


def _rest_gap(check: Check, flags: Mapping[tuple[int, int], Flag]) -> list[Prescription]:
    flag = flags[(check.string or 0, check.key or 0)]
    limit = check.verdict.limit
    wanted = flag.gap_mm
    if limit is not None and limit.lower is not None:
        wanted = max(wanted, limit.lower + K * (check.verdict.u or 0.0))
    if limit is not None and limit.upper is not None:
        wanted = min(wanted, limit.upper - K * (check.verdict.u or 0.0))
    both = len({s for s, _k in flags}) > 1
    made = moved(_made(check, "turn", "tangent", 0.0), flag, wanted - flag.gap_mm)
    return [replace(made, also_other_string=both)]


def _key(check: Check) -> Prescription:
    """Ease a tight key to the middle of its usual play; bush a worn one back to it."""
    if check.kind == "returns":
        return _made(check, "ease", "key", EASE_SHANK_MM)
    limit, play = check.verdict.limit, check.verdict.value
    ends = (limit.lower, limit.upper) if limit is not None else (None, None)
    middle = ((ends[0] or 0.0) + (ends[1] if ends[1] is not None else 2.0 * play)) / 2.0
    return _made(check, "ease" if play < middle else "bush", "key", abs(middle - play))


def _greatest(found: Sequence[Prescription]) -> list[Prescription]:
    """Of several changes of one thing for one reason, the greatest; its first note stays."""
    kept: dict[tuple[object, ...], Prescription] = {}
    for made in found:
        name = (made.verb, made.what, made.key, made.string, made.place, made.because)
        before = kept.get(name)
        if before is None:
            kept[name] = made
            continue
        note = min(before.note, made.note)
        word: Word = "outside" if "outside" in (before.word, made.word) else before.word
        most = made if made.by_mm > before.by_mm else before
        kept[name] = replace(most, note=note, word=word)
    return list(kept.values())
