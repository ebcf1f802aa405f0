"""What the finishing check of the keybox says of causes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from statistics import median
from typing import Any

from repairs.gauges.causes.net import Value

Plain = Mapping[str, Any]
TIGHT_MM = 0.07  # side play below which a shank is swollen, not dirty
NEIGHBOURS = 3  # keys in a row that stick: then it is the wall, not the keys
# Figure, kinds of check, whether the least or the most of them speaks.
FROM_CHECKS = (
    ("clear_other_mm", ("clear_other",), min),
    ("clear_own_mm", ("clear_own",), min),
    ("flag_mm", ("flag_low", "flag_high"), min),
    ("lid_mm", ("lid", "wall", "shank"), min),
    ("side_play_mm", ("side_play",), max),
)


def action_values(given: Plain, out: Plain) -> list[Value]:
    """Gaps, meeting, clearances, play and return of all keys."""
    checks = [one for one in out.get("checks") or [] if (one.get("verdict") or {}).get("value")
              is not None]  # fmt: skip
    found = [*_gaps(checks), *_together(checks)]
    for figure, kinds, pick in FROM_CHECKS:
        rows = [one["verdict"] for one in checks if one["kind"] in kinds]
        if rows:
            worst = pick(rows, key=lambda verdict: verdict["value"])
            found.append(Value(figure, float(worst["value"]), float(worst.get("u") or 0.0)))
    keys = given.get("keys") or []
    travels = [float(key["travel_mm"]) for key in keys if key.get("travel_mm")]
    if travels:
        found.append(Value("travel_mm", max(travels), 0.1))
    word = _returns(keys)
    return [*found, Value("keys_return", word)] if word else found


def _gaps(checks: Iterable[Plain]) -> list[Value]:
    gaps = [one["verdict"]["value"] for one in checks if one["kind"] == "rest_gap"]
    return [Value("rest_gap_mm", float(median(gaps)), 0.05)] if gaps else []


def _together(checks: Iterable[Plain]) -> list[Value]:
    apart = [abs(one["verdict"]["value"]) for one in checks if one["kind"] == "together"]
    return [Value("together_mm", max(apart), 0.02)] if apart else []


def _returns(keys: Sequence[Plain]) -> str:
    """free, tight, loose or neighbours; empty when nobody tried the keys."""
    tried = [key for key in keys if key.get("returns")]
    if not tried:
        return ""
    bad = [key for key in tried if key["returns"] in ("sticks", "slow")]
    sticking = [key for key in bad if key["returns"] == "sticks"] or bad
    if not bad:
        return "free"
    if _in_a_row([int(key["key"]) for key in sticking]) >= NEIGHBOURS:
        return "neighbours"
    plays = [float(key["side_play_mm"]) for key in sticking if key.get("side_play_mm") is not None]
    return "tight" if plays and median(plays) < TIGHT_MM else "loose"


def _in_a_row(keys: Sequence[int]) -> int:
    longest, run, last = 0, 0, None
    for key in sorted(keys):
        run = run + 1 if last is not None and key == last + 1 else 1
        longest, last = max(longest, run), key
    return longest
