"""Bars: cents per key with tolerance and uncertainty, and loads per string."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from repairs.charts.svg import (
    BRASS,
    INK,
    LINE,
    SOFT,
    SPRUCE,
    Board,
    Chart,
    Scale,
    nice_ticks,
    padded,
    shown,
)

MOST_LETTERS = 22
LEFT, RIGHT, TOP, BOTTOM = 48.0, 12.0, 26.0, 40.0


@dataclass(frozen=True)
class Bar:
    """One bar: its name, its value, half of its whisker, the band it should lie in, before."""

    name: str
    value: float
    u: float | None = None
    lower: float | None = None
    upper: float | None = None
    before: float | None = None
    sign: str = ""


@dataclass(frozen=True)
class Row:
    """One row of upright bars under its own title, such as a string."""

    title: str
    bars: Sequence[Bar]


ROW_HEIGHT = 230.0


def upright_bars(
    rows: Sequence[Row], *, unit: str, alt: str, before: str = "", comma: bool = False
) -> Chart:
    """Draw rows of bars from a zero line, one under another on the same scale.

    Each bar has its band, a whisker of twice u, and a tick at what was before.
    """
    most = max(len(row.bars) for row in rows)
    width = max(420.0, LEFT + RIGHT + 26.0 * most)
    board = Board(width, ROW_HEIGHT * len(rows), comma)
    every = [bar for row in rows for bar in row.bars]
    low, high = _range(every)
    for place, row in enumerate(rows):
        top = ROW_HEIGHT * place
        y = Scale(low, high, top + ROW_HEIGHT - BOTTOM, top + TOP)
        _row(board, row, width, y, unit)
    if before and any(bar.before is not None for bar in every):
        board.text((width - RIGHT, 15), f"— {before}", 12, anchor="end", colour=SOFT)
    return board.chart(alt)


def _row(board: Board, row: Row, width: float, y: Scale, unit: str) -> None:
    step = (width - LEFT - RIGHT) / max(len(row.bars), 1)
    for tick in nice_ticks(y.low, y.high, 6):
        board.line((LEFT, y(tick)), (width - RIGHT, y(tick)), LINE, 0.6)
        board.text((LEFT - 6, y(tick) + 4), shown(tick), 12, anchor="end", colour=SOFT)
    for place, bar in enumerate(row.bars):
        _upright(board, bar, LEFT + step * place, step, y)
    board.line((LEFT, y(0)), (width - RIGHT, y(0)), INK, 1.1)
    board.text((LEFT - 6, y.end - 11), unit, 12, anchor="end", colour=SOFT)
    board.text((LEFT, y.end - 11), row.title, 13, bold=True)


def _range(bars: Sequence[Bar]) -> tuple[float, float]:
    values = [0.0]
    for bar in bars:
        spread = 2 * (bar.u or 0.0)
        values += [bar.value - spread, bar.value + spread]
        values += [v for v in (bar.lower, bar.upper, bar.before) if v is not None]
    return padded(values)


def _upright(board: Board, bar: Bar, x: float, step: float, y: Scale) -> None:
    middle, half = x + step / 2, step * 0.3
    if bar.lower is not None and bar.upper is not None:
        board.box(x + 1, y(bar.upper), step - 2, y(bar.lower) - y(bar.upper), SPRUCE)
    board.box(middle - half, y(0), 2 * half, y(bar.value) - y(0), BRASS)
    if bar.u:
        board.line((middle, y(bar.value - 2 * bar.u)), (middle, y(bar.value + 2 * bar.u)), INK, 1.4)
    if bar.before is not None:
        board.line(
            (middle - half - 2, y(bar.before)), (middle + half + 2, y(bar.before)), SOFT, 2.2
        )
    board.text((middle, y.start + 15), bar.name, 10.5, anchor="middle")
    if bar.sign:
        board.text((middle, y.start + 30), bar.sign, 11, anchor="middle")


def _clipped(name: str) -> str:
    """As much of a name as stands beside a bar."""
    return name if len(name) <= MOST_LETTERS else f"{name[: MOST_LETTERS - 1].rstrip()}…"


def lying_bars(
    bars: Sequence[Bar], *, unit: str, alt: str, before: str = "", comma: bool = False
) -> Chart:
    """Draw one bar a line, the value written at its end: the loads of a string set."""
    width, line = 420.0, 30.0
    board = Board(width, 20 + line * len(bars) + 22, comma)
    reach = [bar.value + 2 * (bar.u or 0) for bar in bars]
    high = max([*reach, *(bar.before for bar in bars if bar.before is not None), 1e-9])
    x = Scale(0.0, high * 1.15, 156.0, width - 56)
    for tick in nice_ticks(0, high, 5):
        board.line((x(tick), 8), (x(tick), 14 + line * len(bars)), LINE, 0.6)
        board.text((x(tick), 28 + line * len(bars)), shown(tick), 13, anchor="middle", colour=SOFT)
    for place, bar in enumerate(bars):
        _lying(board, bar, 10 + line * place, line, x, unit)
    if before and any(bar.before is not None for bar in bars):
        board.text((8, 28 + line * len(bars)), f"| {before}", 13, colour=SOFT)
    return board.chart(alt)


def _lying(board: Board, bar: Bar, top: float, line: float, x: Scale, unit: str) -> None:
    if bar.lower is not None and bar.upper is not None:
        board.box(x(bar.lower), top, x(bar.upper) - x(bar.lower), line - 4, SPRUCE)
    board.box(x(0), top + 6, x(bar.value) - x(0), line - 16, BRASS)
    if bar.u:
        ends = (x(bar.value - 2 * bar.u), top + 13), (x(bar.value + 2 * bar.u), top + 13)
        board.line(*ends, INK, 1.4)
    if bar.before is not None:
        board.line((x(bar.before), top + 2), (x(bar.before), top + line - 6), SOFT, 2.2)
    board.text((150, top + 17), _clipped(bar.name), 13.5, anchor="end")
    end = x(bar.value + 2 * (bar.u or 0)) + 6
    board.text((end, top + 17), f"{bar.value:.1f} {unit} {bar.sign}".strip(), 13.5)
