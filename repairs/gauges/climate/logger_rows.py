"""The columns of a climate record as text, made into numbers in order of time, without loss.

Columns as most loggers write them are read whole; where that fails, each distinct cell is read once
and looked up after that, since a logger repeats its dates, its times and its tenths of a per cent.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from repairs.gauges.base.arrays import Floats, NDArray, Seconds, np
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate.log import Cells, Gap, Import, Log, Oddity
from repairs.gauges.climate.logger_times import lookup, times

VERSION = "climate_rows 1"

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
    time_s, order = times(cells, day_first)
    with_t = cells.t is not None
    rh = _column(cells.rh, cells.names[-2 if with_t else -1], cells, RH_ENDS_PCT)
    t = np.full(len(rh), np.nan)
    if cells.t is not None:
        t = _column(cells.t, cells.names[-1], cells, T_ENDS_C, fahrenheit=cells.fahrenheit)
    return _tidy(time_s, rh, t, cells, order)


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
    # The hour at the end of summer time comes twice, and two files are sometimes pasted in one.
    again = np.zeros(len(time_s), dtype=np.bool_)
    again[1:] = np.diff(time_s) == 0
    other = again.copy()
    other[1:] &= np.diff(rh) != 0
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
