"""The columns of a climate record as text, made into numbers in order of time, without loss.

Columns as most loggers write them are read whole; where that fails, each distinct cell is read once
and looked up after that, since a logger repeats its dates, its times and its tenths of a per cent.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from repairs.gauges.base.arrays import Floats, NDArray, Seconds, np
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate.clock import HOUR_S, summer_time
from repairs.gauges.climate.log import Cells, Gap, Import, Log, Oddity
from repairs.gauges.climate.logger_times import lookup, times
from repairs.gauges.climate.spans import spans

VERSION = "climate_rows 2"

NAMED_ROWS = 10  # of each kind of oddity, so many are named by their line
RH_ENDS_PCT = (0.0, 100.0)
T_ENDS_C = (-60.0, 90.0)

_NO_VALUE = {"", "nan", "na", "n/a", "null", "none", "-", "--", "---", "#n/a", "err", "error"}
_UNIT = re.compile(r"\s*(%\s*(rh|hr|rf|rv|ur)?|°?\s*[cf])$", re.IGNORECASE)


def log_of(cells: Cells, day_first: bool | None = None) -> Log:
    """Return the log that the cells hold.

    Raises GaugeInputError with column and line for a cell that is no number, no date, or out of
    0…100 % RH or −60…90 °C; empty cells and words such as ``NaN`` are counted as no value.
    """
    if len(cells.rh) < 2:
        raise GaugeInputError("too_few", field="rows", value=len(cells.rh), limit=2)
    clock_s, by_day = times(cells, day_first)
    with_t = cells.t is not None
    rh = _column(cells.rh, cells.names[-2 if with_t else -1], cells, RH_ENDS_PCT)
    t = np.full(len(rh), np.nan)
    if cells.t is not None:
        t = _column(cells.t, cells.names[-1], cells, T_ENDS_C, fahrenheit=cells.fahrenheit)
    return _tidy(clock_s, rh, t, cells, by_day)


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
        values, bad = lookup(column, _value)
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


def _tidy(clock_s: Seconds, rh: Floats, t: Floats, cells: Cells, day_first: bool | None) -> Log:
    """Count what cannot be used, put the rows in order, keep one row for each time."""
    lines = np.asarray(cells.lines)
    is_summer, changes = summer_time(clock_s)
    time_s = clock_s - HOUR_S * is_summer
    kept = np.isfinite(rh)
    backwards = np.concatenate(([False], np.diff(time_s) < 0))
    missing = _oddity(~kept, lines), _oddity(~np.isfinite(t), lines)
    disorder = _oddity(backwards, lines)
    turn = np.flatnonzero(kept)
    if disorder.count:
        turn = turn[np.argsort(time_s[kept], kind="stable")]
    time_s, rh, t, lines, is_summer = time_s[turn], rh[turn], t[turn], lines[turn], is_summer[turn]
    # Two files are sometimes pasted in one.
    again = np.zeros(len(time_s), dtype=np.bool_)
    again[1:] = np.diff(time_s) == 0
    other = again.copy()
    other[1:] &= np.diff(rh) != 0
    repeated, contradicting = _oddity(again & ~other, lines), _oddity(other, lines)
    if again.any():
        is_summer = is_summer[~again]
        time_s, rh, t = _merge(time_s, rh, t, ~again)
    if len(time_s) < 2:
        raise GaugeInputError("too_few", field="rows", value=len(time_s), limit=2)
    on_clock_s = time_s + HOUR_S * is_summer
    count, hours, longest = _gaps(time_s, on_clock_s)
    report = Import(
        rows=len(kept),
        used=len(time_s),
        missing_rh=missing[0],
        missing_t=Oddity(0, ()) if cells.t is None else missing[1],
        repeated=repeated,
        contradicting=contradicting,
        out_of_order=disorder,
        gap_count=count,
        gap_hours=hours,
        longest_gaps=longest,
        clock_changes=changes,
        step_minutes=float(np.median(np.diff(time_s))) / 60.0,
        first=_iso(on_clock_s[0]),
        last=_iso(on_clock_s[-1]),
        separator=cells.separator,
        decimal_comma=any("," in cell for cell in set(cells.rh)),
        fahrenheit=cells.fahrenheit,
        day_first=day_first,
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


def _gaps(time_s: Seconds, on_clock_s: Seconds) -> tuple[int, float, tuple[Gap, ...]]:
    """Steps longer than is usual where they lie: how many, hours lost, the longest by the clock."""
    by_time = spans(time_s)
    where = np.flatnonzero(by_time.is_hole)
    steps = np.diff(time_s)
    longest = where[np.argsort(-steps[where], kind="stable")][:NAMED_ROWS]
    named = tuple(
        Gap(_iso(on_clock_s[i]), _iso(on_clock_s[i + 1]), float(steps[i]) / 3600.0) for i in longest
    )
    return len(where), float(by_time.lost_s.sum()) / 3600.0, named


def _iso(second: np.int64) -> str:
    return str(np.datetime64(int(second), "s"))
