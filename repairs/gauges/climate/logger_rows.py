"""The columns of a climate record as text, made into numbers in order of time, without loss.

Columns as most loggers write them are read whole; where that fails, each distinct cell is read once
and looked up after that, since a logger repeats its dates, its times and its tenths of a per cent.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from repairs.gauges.base.checks import Floats
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate.statistics import Seconds

VERSION = "climate_rows 1"

NAMED_ROWS = 10  # of each kind of oddity, so many are named by their line
RH_ENDS_PCT = (0.0, 100.0)
T_ENDS_C = (-60.0, 90.0)

_NO_VALUE = {"", "nan", "na", "n/a", "null", "none", "-", "--", "---", "#n/a", "err", "error"}
_UNIT = re.compile(r"\s*(%\s*(rh|hr|rf|rv|ur)?|°?\s*[cf])$", re.IGNORECASE)
_DATE = re.compile(r"^(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})$")
_CLOCK = re.compile(
    r"^(\d{1,2})[:.h](\d{2})(?:[:.](\d{2})(?:[.,]\d+)?)?\s*([AaPp])?(?:\.?[Mm]\.?)?"
    r"\s*(Z|[+-]\d{2}:?\d{2})?$"
)
_ISO = re.compile(r"^\d{4}-\d\d-\d\d([T ]\d\d:\d\d(:\d\d)?)?$")
_EPOCH = dt.date(1970, 1, 1).toordinal()


@dataclass(frozen=True)
class Oddity:
    """How many rows are odd in one way, and the lines of the first ten."""

    count: int
    lines: tuple[int, ...]


@dataclass(frozen=True)
class Gap:
    """A stretch without rows: last row before it, first after it (ISO, as in the file), hours."""

    start: str
    end: str
    hours: float


@dataclass(frozen=True)
class Import:
    """What was in the file and what was made of it; nothing leaves without being counted here.

    ``rows`` counts lines with data; ``used`` those kept: without ``missing_rh`` (no value),
    with ``repeated`` (same time, same value) kept once and ``contradicting`` (same time, other
    value: the hour at the end of summer time, or two files in one) averaged. ``day_first`` is None
    for ISO dates; ``order_assumed`` says that no date showed which of both is the day.
    """

    rows: int
    used: int
    missing_rh: Oddity
    missing_t: Oddity
    repeated: Oddity
    contradicting: Oddity
    out_of_order: Oddity
    gap_count: int
    gap_hours: float
    longest_gaps: tuple[Gap, ...]
    step_minutes: float
    first: str
    last: str
    separator: str
    decimal_comma: bool
    fahrenheit: bool
    day_first: bool | None
    order_assumed: bool
    columns: tuple[str, ...]


@dataclass(frozen=True)
class Log:
    """Rows in order of time: seconds since 1970 on the file's own clock, % RH, °C; shapes (N,)."""

    time_s: Seconds
    rh_pct: Floats
    t_c: Floats
    report: Import


@dataclass(frozen=True)
class Cells:
    """The columns as text, with the line of each row and the names to use in a refusal."""

    times: Sequence[str]
    clocks: Sequence[str] | None
    rh: Sequence[str]
    t: Sequence[str] | None
    lines: Sequence[int]
    names: tuple[str, ...]  # time, rh, and t where there is one
    separator: str
    fahrenheit: bool


def log_of(cells: Cells, day_first: bool | None = None) -> Log:
    """Return the log that the cells hold.

    Raises GaugeInputError with column and line for a cell that is no number, no date, or out of
    0…100 % RH or −60…90 °C; empty cells and words such as ``NaN`` are counted as no value.
    """
    if len(cells.rh) < 2:
        raise GaugeInputError("too_few", field="rows", value=len(cells.rh), limit=2)
    time_s, order = _times(cells, day_first)
    with_t = cells.t is not None
    rh = _column(cells.rh, cells.names[-2 if with_t else -1], cells, RH_ENDS_PCT)
    t = np.full(len(rh), np.nan)
    if cells.t is not None:
        t = _column(cells.t, cells.names[-1], cells, T_ENDS_C, fahrenheit=cells.fahrenheit)
    return _tidy(time_s, rh, t, cells, order)


def _lookup(cells: Sequence[str], read: Callable[[str], float | None]) -> tuple[Floats, int | None]:
    """Read each distinct cell once; return all values and the place of the first unreadable one."""
    table = {cell: read(cell) for cell in set(cells)}
    bad = {cell for cell, value in table.items() if value is None}
    if bad:
        return np.empty(0), next(i for i, cell in enumerate(cells) if cell in bad)
    return np.fromiter(map(table.__getitem__, cells), dtype=np.float64, count=len(cells)), None


def _column(
    column: Sequence[str],
    name: str,
    cells: Cells,
    ends: tuple[float, float],
    *,
    fahrenheit: bool = False,
) -> Floats:
    values, bad = _whole(column), None
    if values is None:
        values, bad = _lookup(column, _value)
    if bad is not None:
        raise GaugeInputError(
            "not_a_number", field=name, row=cells.lines[bad], value=repr(column[bad].strip())
        )
    if fahrenheit:
        values = (values - 32.0) / 1.8
    for code, beyond, limit in (
        ("too_small", values < ends[0], ends[0]),
        ("too_big", values > ends[1], ends[1]),
    ):
        if beyond.any():
            at = int(np.argmax(beyond))
            raise GaugeInputError(
                code, field=name, row=cells.lines[at], value=column[at].strip(), limit=f"{limit:g}"
            )
    return values


def _whole(column: Sequence[str]) -> Floats | None:
    """The numbers of a column that holds nothing else, else None."""
    text = "\n".join(column).replace(",", ".")
    if "_" in text:
        return None
    try:
        values = np.array(list(map(float, text.split("\n"))))
    except ValueError:
        return None
    return values if len(values) == len(column) and not np.isinf(values).any() else None


def _value(cell: str) -> float | None:
    """A number, NaN for a cell without one, None for what is neither."""
    bare = _UNIT.sub("", cell.strip())
    if bare.lower() in _NO_VALUE:
        return np.nan
    try:
        value = float(bare.replace(",", "."))
    except ValueError:
        return None
    return value if np.isfinite(value) and "_" not in bare else None


def _times(cells: Cells, day_first: bool | None) -> tuple[Seconds, tuple[bool | None, bool]]:
    """Return seconds since 1970, and (day first or None for ISO, whether that was assumed)."""
    whole = _whole_times(cells)
    if whole is not None:
        return whole, (None, False)
    dates, clocks = _halves(cells)
    distinct = {date: _DATE.match(date) for date in set(dates)}
    iso, by_day, assumed = _order(list(distinct.values()), day_first)
    table = {date: _day(match, iso, by_day) for date, match in distinct.items()}
    days, bad = _lookup(dates, table.__getitem__)
    seconds, bad_clock = _lookup(clocks, _second) if bad is None else (days, None)
    at = bad if bad is not None else bad_clock
    if at is not None:
        text = " ".join(part for part in (dates[at], clocks[at]) if part)
        raise GaugeInputError(
            "not_a_date", field=cells.names[0], row=cells.lines[at], value=repr(text)
        )
    total = days.astype(np.int64) * 86_400 + seconds.astype(np.int64)
    return total, (None if iso else by_day, assumed)


def _whole_times(cells: Cells) -> Seconds | None:
    """The times of a column of ISO dates that all look alike and have no offset, else None."""
    column = cells.times
    if cells.clocks is not None or _ISO.match(column[0]) is None:
        return None
    if len(set(map(len, column))) != 1:
        return None
    try:
        return np.array(column, dtype="datetime64[s]").astype(np.int64)
    except ValueError:
        return None


def _halves(cells: Cells) -> tuple[Sequence[str], Sequence[str]]:
    """Dates and times of day as text, from two columns or from one that holds both."""
    if cells.clocks is not None:
        return [d.strip() for d in cells.times], [c.strip() for c in cells.clocks]
    between = "T" if "T" in cells.times[0] else " "
    parts = [cell.strip().partition(between) for cell in cells.times]
    return [p[0].rstrip(",") for p in parts], [p[2] for p in parts]


def _order(
    matches: Sequence[re.Match[str] | None], day_first: bool | None
) -> tuple[bool, bool, bool]:
    """Is it ISO; does the day stand first; was that assumed because no date shows it?"""
    found = [m for m in matches if m is not None]
    if found and all(len(m[1]) == 4 for m in found):
        return True, True, False
    if day_first is not None:
        return False, day_first, False
    firsts = max((int(m[1]) for m in found), default=0)
    seconds = max((int(m[3]) for m in found), default=0)
    if firsts > 12 or seconds > 12:
        return False, firsts > 12, False
    return False, True, True


def _day(match: re.Match[str] | None, iso: bool, by_day: bool) -> float | None:
    if match is None:
        return None
    first, middle, last = match[1], match[3], match[4]
    year, month, day = (first, middle, last) if iso else (last, middle, first)
    if not iso and not by_day:
        month, day = day, month
    try:
        full = int(year) + (2000 if len(year) <= 2 else 0)
        return dt.date(full, int(month), int(day)).toordinal() - _EPOCH
    except ValueError:
        return None


def _second(clock: str) -> float | None:
    """Second of the day; an offset from UTC is taken off, so that mixed ones agree."""
    if not clock.strip():
        return 0.0
    match = _CLOCK.match(clock.strip())
    if match is None:
        return None
    hour, minute, second = int(match[1]), int(match[2]), int(match[3] or 0)
    if match[4]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match[4] in "Pp" else 0)
    if hour > 23 or minute > 59 or second > 59:
        return None
    offset = 0
    if match[5] and match[5] != "Z":
        digits = match[5].replace(":", "")
        offset = int(digits[1:3]) * 3600 + int(digits[3:5]) * 60
        offset = -offset if digits[0] == "-" else offset
    return float(hour * 3600 + minute * 60 + second - offset)


def _tidy(
    time_s: Seconds, rh: Floats, t: Floats, cells: Cells, order: tuple[bool | None, bool]
) -> Log:
    """Count what cannot be used, put the rows in order, keep one row for each time."""
    lines = np.asarray(cells.lines)
    with_value = np.isfinite(rh)
    backwards = np.concatenate(([False], np.diff(time_s) < 0))
    missing_rh, missing_t = _oddity(~with_value, lines), _oddity(~np.isfinite(t), lines)
    if cells.t is None:
        missing_t = Oddity(0, ())
    disorder = _oddity(backwards, lines)
    time_s, rh, t, lines = time_s[with_value], rh[with_value], t[with_value], lines[with_value]
    if disorder.count:
        turn = np.argsort(time_s, kind="stable")
        time_s, rh, t, lines = time_s[turn], rh[turn], t[turn], lines[turn]
    again = np.concatenate(([False], np.diff(time_s) == 0)) if len(time_s) else with_value[:0]
    other = again & np.concatenate(([False], np.diff(rh) != 0)) if len(time_s) else again
    repeated, contradicting = _oddity(again & ~other, lines), _oddity(other, lines)
    if again.any():
        time_s, rh, t = _merge(time_s, rh, t, ~again)
    if len(time_s) < 2:
        raise GaugeInputError("too_few", field="rows", value=len(time_s), limit=2)
    count, hours, longest = _gaps(time_s)
    report = Import(
        rows=len(with_value),
        used=len(time_s),
        missing_rh=missing_rh,
        missing_t=missing_t,
        repeated=repeated,
        contradicting=contradicting,
        out_of_order=disorder,
        gap_count=count,
        gap_hours=hours,
        longest_gaps=longest,
        step_minutes=float(np.median(np.diff(time_s))) / 60.0,
        first=_iso(time_s[0]),
        last=_iso(time_s[-1]),
        separator=cells.separator,
        decimal_comma=any("," in cell for cell in set(cells.rh)),
        fahrenheit=cells.fahrenheit,
        day_first=order[0],
        order_assumed=order[1],
        columns=cells.names,
    )
    return Log(time_s, rh, t, report)


def _oddity(mask: NDArray[np.bool_], lines: NDArray[np.int64]) -> Oddity:
    where = np.flatnonzero(mask)
    return Oddity(len(where), tuple(int(line) for line in lines[where[:NAMED_ROWS]]))


def _merge(
    time_s: Seconds, rh: Floats, t: Floats, first: NDArray[np.bool_]
) -> tuple[Seconds, Floats, Floats]:
    """Mean of the rows of each time; where they are equal that is the row itself."""
    starts = np.flatnonzero(first)
    counts = np.diff(np.append(starts, len(rh)))
    known = np.isfinite(t)
    t_counts = np.add.reduceat(known.astype(np.float64), starts)
    t_sums = np.add.reduceat(np.where(known, t, 0.0), starts)
    t_means = np.divide(t_sums, t_counts, out=np.full(len(starts), np.nan), where=t_counts > 0)
    return time_s[starts], np.add.reduceat(rh, starts) / counts, t_means


def _gaps(time_s: Seconds) -> tuple[int, float, tuple[Gap, ...]]:
    """Steps of more than one and a half times the usual one: how many, hours lost, the longest."""
    steps = np.diff(time_s)
    usual = float(np.median(steps))
    where = np.flatnonzero(steps > 1.5 * usual)
    longest = where[np.argsort(-steps[where], kind="stable")][:NAMED_ROWS]
    named = tuple(
        Gap(_iso(time_s[i]), _iso(time_s[i + 1]), float(steps[i]) / 3600.0) for i in longest
    )
    return len(where), float((steps[where] - usual).sum()) / 3600.0, named


def _iso(second: np.int64) -> str:
    return str(np.datetime64(int(second), "s"))
