"""A climate record: its columns as text, its rows as numbers, and what was made of each line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, Seconds


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
    value: two files in one) averaged. ``clock_changes`` counts the nights in which summer time
    began or ended; times are kept in winter time and named as in the file. ``day_first`` is None
    for ISO dates.
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
    clock_changes: int
    step_minutes: float
    first: str
    last: str
    separator: str
    decimal_comma: bool
    fahrenheit: bool
    day_first: bool | None
    columns: tuple[str, ...]


@dataclass(frozen=True)
class Log:
    """Rows in order of time: seconds since 1970 in winter time, % RH, °C; shapes (N,)."""

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
