"""Dates and times of a logger's file, read whole where they look alike, else cell by cell."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping, Sequence

from repairs.gauges.base.arrays import Floats, Seconds, np
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate.log import Cells

_DATE = re.compile(r"^(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})$")


_CLOCK = re.compile(
    r"^(\d{1,2})[:.h](\d{2})(?:[:.](\d{2})(?:[.,]\d+)?)?\s*([AaPp])?(?:\.?[Mm]\.?)?"
    r"\s*(Z|[+-]\d{2}:?\d{2})?$"
)


_ISO = re.compile(r"^\d{4}-\d\d-\d\d([T ]\d\d:\d\d(:\d\d)?)?$")


_EPOCH = dt.date(1970, 1, 1).toordinal()


def lookup(cells: Sequence[str], read: Callable[[str], float | None]) -> tuple[Floats, int | None]:
    """Read each distinct cell once; return all values and the place of the first unreadable one."""
    table = {cell: read(cell) for cell in set(cells)}
    bad = {cell for cell, value in table.items() if value is None}
    if bad:
        return np.empty(0), next(i for i, cell in enumerate(cells) if cell in bad)
    return np.fromiter(map(table.__getitem__, cells), dtype=np.float64, count=len(cells)), None


def times(cells: Cells, day_first: bool | None) -> tuple[Seconds, bool | None]:
    """Return seconds since 1970, and whether the day stands first (None for ISO).

    Raises GaugeInputError for a time that cannot be read, and “two_ways” where no date shows which
    of both is the day and ``day_first`` does not say it.
    """
    whole = _whole_times(cells)
    if whole is not None:
        return whole, None
    dates, clocks = _halves(cells)
    distinct = {date: _DATE.match(date) for date in set(dates)}
    by_day, is_open = _order(list(distinct.values()), day_first)
    if is_open:
        _ask(cells, dates, distinct)
    table = {date: _day(match, by_day) for date, match in distinct.items()}
    days, bad = lookup(dates, table.__getitem__)
    seconds, bad_clock = lookup(clocks, _second) if bad is None else (days, None)
    at = bad if bad is not None else bad_clock
    if at is not None:
        text = " ".join(part for part in (dates[at], clocks[at]) if part)
        raise GaugeInputError(
            "not_a_date", field=cells.names[0], row=cells.lines[at], value=repr(text)
        )
    total = days.astype(np.int64) * 86_400 + seconds.astype(np.int64)
    return total, by_day


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
) -> tuple[bool | None, bool]:
    """Does the day stand first (None for ISO); is that open because no date shows it?"""
    found = [m for m in matches if m is not None]
    if found and all(len(m[1]) == 4 for m in found):
        return None, False
    if day_first is not None:
        return day_first, False
    firsts, seconds = (any(int(m[place]) > 12 for m in found) for place in (1, 3))
    if firsts or seconds:
        return firsts, False
    # Nobody who writes points puts the month first; with strokes both are written.
    return True, any(int(m[1]) != int(m[3]) and m[2] != "." for m in found)


def _ask(cells: Cells, dates: Sequence[str], distinct: Mapping[str, re.Match[str] | None]) -> None:
    """No day beyond the 12th: a guess would turn twelve days into twelve months."""
    for at, date in enumerate(dates):
        match = distinct[date]
        if match is not None and int(match[1]) != int(match[3]):
            ways = (_day(match, by_day) for by_day in (True, False))
            said = [str(dt.date.fromordinal(_EPOCH + int(way))) for way in ways if way is not None]
            if len(said) == 2:
                raise GaugeInputError(
                    "two_ways", field="day_first", row=cells.lines[at], value=date,
                    limit=said[0], known=said[1],
                )  # fmt: skip


def _day(match: re.Match[str] | None, by_day: bool | None) -> float | None:
    if match is None:
        return None
    first, middle, last = match[1], match[3], match[4]
    year, month, day = (first, middle, last) if by_day is None else (last, middle, first)
    if by_day is False:
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
