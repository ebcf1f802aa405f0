"""What a tuner on the keyboard says of causes: bridge, nut, one string, one tangent, or another
temperament, each told apart by its law.

Per string and key the error is e = bridge·b(x) + all + drift of the string + the tangent, where
b(x) = 1200/ln 2·x/(L·(L − x)) cents a mm and the drift of an old string is even in x.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.causes.net import Value

Plain = Mapping[str, Any]
LEAST_KEYS = 6
CENTS = 1200.0 / math.log(2.0)
TANGENT_MM = 0.085  # scatter of a tangent along the string; and of the ear, cents
EAR_CENTS = 0.7
ASIDE = 3.5  # times the usual scatter: then a key is set aside from the law of the whole


def correction_values(given: Plain, out: Plain) -> list[Value]:
    """Figures of one or two strings; cents of error as the gauge found them."""
    length = float(out.get("length_mm") or given.get("length_mm") or 345.0)
    strings = [_errors(one, length) for one in out.get("strings") or []][:2]
    if not strings or any(len(rows) < LEAST_KEYS for rows in strings):
        return []
    if len(strings) == 1:
        return _of_one(strings[0], length)
    both = sorted(set(strings[0]) & set(strings[1]))
    if len(both) < LEAST_KEYS:
        return []
    x = np.array([strings[0][key][1] for key in both])
    first, second = (np.array([rows[key][0] for key in both]) for rows in strings)
    return _of_two(first, second, x, length)


def repeat_values(out: Plain, again: Plain) -> list[Value]:
    """By how much the same key differs between two readings, at the worst; cents."""
    strings = zip(out.get("strings") or [], again.get("strings") or [], strict=False)
    apart = [
        abs(line["off_cents"] - before["off_cents"])
        for string, earlier in strings
        for line in string["keys"]
        for before in earlier["keys"]
        if before["key"] == line["key"]
    ]
    return [Value("repeat_cents", float(max(apart)))] if apart else []


def _errors(string: Plain, length: float) -> dict[int, tuple[float, float]]:
    """Error, cents, and distance from the nut, mm, by key."""
    return {
        int(line["key"]): (
            float(line["off_cents"]),
            length * (1.0 - 2.0 ** (-float(line["wanted_cents"]) / 1200.0)),
        )
        for line in string.get("keys") or []
    }


def _scatter(x: Floats, length: float) -> Floats:
    usual: Floats = np.hypot(EAR_CENTS, TANGENT_MM * CENTS / (length - x))
    return usual


def _fit(error: Floats, columns: Sequence[Floats], usual: Floats) -> tuple[Floats, Floats, Any]:
    """Least squares that sets outliers aside one by one: coefficients, what is left, kept."""
    basis = np.column_stack(columns)
    kept = np.ones(len(error), dtype=bool)
    most_aside = max(1, len(error) // 6)
    while True:
        weight = 1.0 / usual[kept]
        rows = basis[kept] * weight[:, None]
        solved = np.linalg.lstsq(rows, error[kept] * weight, rcond=None)[0]
        found = np.array(solved, dtype=np.float64)
        left = error - basis @ found
        pull = np.where(kept, np.abs(left) / usual, 0.0)
        worst = int(pull.argmax())
        if pull[worst] < ASIDE or (~kept).sum() >= most_aside:
            return found, left, kept
        kept[worst] = False


def _bend(x: Floats, length: float) -> Floats:
    bend: Floats = CENTS * x / (length * (length - x))
    return bend


def _rms(left: Floats, kept: Any, used: int) -> float:
    return float(np.sqrt((left[kept] ** 2).sum() / max(int(kept.sum()) - used, 1)))


def _of_one(rows: Mapping[int, tuple[float, float]], length: float) -> list[Value]:
    """One string alone: bridge and old string cannot be told apart, so both are asked."""
    error, x = (np.array(column) for column in zip(*rows.values(), strict=True))
    usual = _scatter(x, length)
    found, left, kept = _fit(error, [_bend(x, length), np.ones_like(x)], usual)
    values = [
        Value("bridge_mm", abs(float(found[0]))),
        Value("drift_cents", abs(float(found[0])) * float(_bend(x, length).max())),
        Value("all_alike_cents", abs(float(found[1]))),
        Value("worst_cents", float(np.abs(left).max())),
    ]
    rms = _rms(left, kept, 2)
    return [*values, Value("one_string_rms_cents", rms)]


def _of_two(first: Floats, second: Floats, x: Floats, length: float) -> list[Value]:
    usual = _scatter(x, length)
    bend, even = _bend(x, length), x / x.max()
    apart, left, kept = _fit(first - second, [even, np.ones_like(x)], usual * math.sqrt(2.0))
    drift = float(apart[0])
    odd = _odd_one(first, second, [bend, np.ones_like(x)], usual)
    first, second = (
        one - (drift * sign * even if who == odd else 0.0)
        for who, one, sign in ((0, first, 1.0), (1, second, -1.0))
    )
    common, rest, common_kept = _fit(
        (first + second) / 2.0, [bend, np.ones_like(x)], usual / math.sqrt(2.0)
    )
    law = bend * common[0] + common[1]
    off = np.vstack([first - law, second - law])
    return [
        Value("bridge_mm", abs(float(common[0]))),
        Value("all_alike_cents", abs(float(common[1]))),
        Value("drift_cents", abs(drift)),
        Value("one_string_rms_cents", _rms(left, kept, 2)),
        Value("common_rms_cents", _rms(rest, common_kept, 2)),
        *_worst(off, left),
    ]


def _odd_one(first: Floats, second: Floats, columns: Sequence[Floats], usual: Floats) -> int:
    """Which string drifts by itself: the one whose whole law lies farther from none."""
    size = [
        float(np.abs(np.column_stack(columns) @ _fit(one, columns, usual)[0]).max())
        for one in (first, second)
    ]
    return 0 if size[0] >= size[1] else 1


def _worst(off: Floats, left: Floats) -> list[Value]:
    """The tangent that is farthest off beside the laws, and how its partner stands."""
    key = int(np.abs(left).argmax())
    one, other = sorted(np.abs(off[:, key]), reverse=True)
    worst = float(np.abs(left[key]))
    found = [Value("worst_cents", worst)]
    if worst > 6.0:
        found.append(Value("partner_share", float(other / max(one, 1e-6))))
    return found
