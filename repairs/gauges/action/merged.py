"""One change a tangent and one a key: what several checks ask of the same piece, made one.

Two rows for one piece would be read as two turns, the second on top of the first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from repairs.gauges.action.changes import Flag, Prescription

Place = tuple[int, int]  # string, key
Flags = Mapping[Place, Flag]
# A turn that shifts the note by more is no way to set a gap (common practice: the ear's own step).
PITCH_CENTS = 2.0
# Both strings are met together within this (the house's figure, as in the limit ``together_mm``).
TOGETHER_MM = 0.2


def moved(made: Prescription, flag: Flag, gap_change_mm: float) -> Prescription:
    """The change as a turn by which the gap changes by so much; a new pin where no turn does that,
    and a bend where the turn would put the note out.

    The face stands ``r·cos φ`` from the pin's axis towards the string and ``r·sin φ`` along it:
    ``r·cos φ′ = r·cos φ − Δgap``. Along a string that sounds over ``s`` the note goes by
    ``1200·log2(s / (s − Δ))`` cents.
    """
    made = replace(
        made, verb="turn", by_mm=abs(gap_change_mm), gap_change_mm=gap_change_mm, turn_deg=None
    )
    if flag.offset_mm is None or flag.offset_mm <= 0:
        return made
    turn = math.radians(flag.turn_deg)
    reach = math.cos(turn) - gap_change_mm / flag.offset_mm
    if not math.cos(math.radians(60.0)) <= reach <= 1.0:
        return replace(made, verb="repin")
    turned = math.copysign(math.acos(reach), turn)
    along = flag.offset_mm * (math.sin(turned) - math.sin(turn))
    if _shifts_note(along, flag.sounding_mm):
        return replace(made, verb="bend")
    return replace(made, turn_deg=math.degrees(turned - turn), along_mm=along)


def _shifts_note(along_mm: float, sounding_mm: float | None) -> bool:
    """Whether the face, moved so far along the string, is heard."""
    if sounding_mm is None or along_mm >= sounding_mm:
        return False
    return abs(1200.0 * math.log2(sounding_mm / (sounding_mm - along_mm))) > PITCH_CENTS


def one_each(found: Sequence[Prescription], flags: Flags) -> list[Prescription]:
    """The changes with at most one a tangent across its string, and one a key's play.

    What stops a note (a tangent that is touched) goes before what is habit (the gap at rest); of
    two that ask for the same way the greater serves both. Meeting both strings at once is reckoned
    from where the tangents then stand.
    """
    across = [p for p in found if _is_across(p)]
    plays = [p for p in found if p.what == "key"]
    rest = [p for p in found if p not in across and p not in plays]
    for key in dict.fromkeys(p.key for p in across):
        moves = _of_key([p for p in across if p.key == key], flags)
        rest = [one for p in rest for one in _still_short(p, moves, flags)] + moves
    for key in dict.fromkeys(p.key for p in plays):
        # Worn and sticking is not tight: it is bushed first, and tried again.
        mine = [p for p in plays if p.key == key]
        rest.append(max(mine, key=lambda p: (p.verb == "bush", p.by_mm)))
    return rest


def _still_short(
    made: Prescription, moves: Sequence[Prescription], flags: Flags
) -> list[Prescription]:
    """A key goes too short a way for its widest gap: what the moves take off it is not cut too."""
    if made.because != "reach" or not moves or made.key != moves[0].key:
        return [made]
    was = {s: flag.gap_mm for (s, key), flag in flags.items() if key == made.key}
    now = dict(was)
    for move in moves:
        if move.string in now:
            now[move.string] += move.gap_change_mm or 0.0
    if not was:
        return [made]
    lacks = made.by_mm - (max(was.values()) - max(now.values()))
    return [replace(made, by_mm=lacks)] if lacks > 0.0 else []


def _is_across(made: Prescription) -> bool:
    return made.what == "tangent" and made.gap_change_mm is not None


def _of_key(asked: Sequence[Prescription], flags: Flags) -> list[Prescription]:
    met = next((p for p in asked if p.because == "together"), None)
    kept: dict[int | None, Prescription] = {}
    thinned: list[Prescription] = []
    for string in dict.fromkeys(p.string for p in asked):
        mine = [p for p in asked if p.because != "together" and p.string == string]
        if mine:
            thick = _too_thick(mine)
            kept[string] = max(mine, key=lambda p: _weight(p, is_thick=bool(thick)))
            thinned += thick
    if met is not None:
        return [*_together(met, kept, flags), *thinned]
    both = [replace(p, also_other_string=False) for p in kept.values()]
    return [*(both if len(kept) > 1 else kept.values()), *thinned]


def _weight(made: Prescription, *, is_thick: bool) -> tuple[bool, bool, float]:
    """A stop before a habit, then the greatest; a tangent to be thinned is taken off its string."""
    off = is_thick and (made.gap_change_mm or 0.0) > 0
    return made.because != "rest_gap", off, made.by_mm


def _too_thick(asked: Sequence[Prescription]) -> list[Prescription]:
    """Between two strings, and touched by both: no place serves, only a thinner back does."""
    stops = {p.because: p for p in asked if p.because in ("clear_own", "clear_other")}
    if len({(p.gap_change_mm or 0.0) > 0 for p in stops.values()}) < 2:
        return []
    lacks = sum(p.by_mm for p in stops.values())
    made = replace(stops["clear_other"], verb="thin", by_mm=lacks, gap_change_mm=None)
    return [replace(made, also_other_string=False)]


def _together(
    met: Prescription, kept: Mapping[int | None, Prescription], flags: Flags
) -> list[Prescription]:
    """Both strings met at once, with what else moves these tangents already reckoned in."""
    if not kept:
        return [met]
    key = met.key or 0
    gaps = {
        s: flags[s, key].gap_mm + (kept[s].gap_change_mm or 0.0 if s in kept else 0.0)
        for s in (1, 2)
    }
    done = {s: replace(p, also_other_string=False) for s, p in kept.items()}
    if abs(gaps[1] - gaps[2]) <= TOGETHER_MM:
        return list(done.values())
    follows = _follower(kept, gaps)
    change = gaps[3 - follows] - flags[follows, key].gap_mm
    base = done.get(follows) or replace(met, string=follows)
    done[follows] = moved(base, flags[follows, key], change)
    return [done[s] for s in sorted(done, key=lambda s: s or 0)]


def _follower(kept: Mapping[int | None, Prescription], gaps: Mapping[int, float]) -> int:
    """The tangent that comes to the other one's gap.

    Where one alone is asked to move and for its habit, it goes on to its fellow, which stands well:
    one move does both. Away from a string that touches it, it stays there and its fellow follows.
    Of two that move, the one with the smaller gap goes back.
    """
    if len(kept) > 1:
        return min((1, 2), key=lambda s: gaps[s])
    ((string, made),) = kept.items()
    only = string or 1
    return only if made.because == "rest_gap" else 3 - only
