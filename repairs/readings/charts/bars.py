"""Bars: cents per key with tolerance and uncertainty, and loads per string."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from repairs.readings.charts.svg import (
    BRASS,
    GOOD,
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


def upright_bars(
    bars: Sequence[Bar], *, unit: str, alt: str, before: str = "", comma: bool = False
) -> Chart:
    """Draw bars from a zero line, with bands, whiskers of twice u, and ticks of what was before."""
    width = max(420.0, LEFT + RIGHT + 26.0 * len(bars))
    board = Board(width, 260.0, comma)
    low, high = _range(bars)
    y = Scale(low, high, 260.0 - BOTTOM, TOP)
    step = (width - LEFT - RIGHT) / len(bars)
    for tick in nice_ticks(low, high, 6):
        board.line((LEFT, y(tick)), (width - RIGHT, y(tick)), LINE, 0.6)
        board.text((LEFT - 6, y(tick) + 4), shown(tick), 11, anchor="end", colour=SOFT)
    for place, bar in enumerate(bars):
        _upright(board, bar, LEFT + step * place, step, y)
    board.line((LEFT, y(0)), (width - RIGHT, y(0)), INK, 1.1)
    board.text((LEFT - 6, 15), unit, 11, anchor="end", colour=SOFT)
    if before and any(bar.before is not None for bar in bars):
        board.text((width - RIGHT, 15), f"— {before}", 11, anchor="end", colour=SOFT)
    return board.chart(alt)


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
    board.text((middle, 260.0 - BOTTOM + 15), bar.name, 10.5, anchor="middle")
    if bar.sign:
        board.text((middle, 260.0 - BOTTOM + 30), bar.sign, 11, anchor="middle")


def lying_bars(bars: Sequence[Bar], *, unit: str, alt: str, comma: bool = False) -> Chart:
    """Draw one bar a line, the value written at its end: the loads of a string set."""
    width, line = 520.0, 30.0
    board = Board(width, 20 + line * len(bars) + 22, comma)
    high = max(max(bar.value + 2 * (bar.u or 0) for bar in bars), 1e-9)
    x = Scale(0.0, high * 1.15, 150.0, width - 60)
    for tick in nice_ticks(0, high, 5):
        board.line((x(tick), 8), (x(tick), 14 + line * len(bars)), LINE, 0.6)
        board.text((x(tick), 28 + line * len(bars)), shown(tick), 11, anchor="middle", colour=SOFT)
    for place, bar in enumerate(bars):
        top = 10 + line * place
        if bar.lower is not None and bar.upper is not None:
            board.box(x(bar.lower), top, x(bar.upper) - x(bar.lower), line - 4, SPRUCE)
        board.box(x(0), top + 6, x(bar.value) - x(0), line - 16, BRASS)
        if bar.u:
            board.line(
                (x(bar.value - 2 * bar.u), top + 13), (x(bar.value + 2 * bar.u), top + 13), INK, 1.4
            )
        board.text((144, top + 17), bar.name, 12, anchor="end")
        board.text(
            (x(bar.value) + 6, top + 17),
            f"{bar.value:.1f} {unit} {bar.sign}".strip(),
            12,
            colour=GOOD if bar.sign.startswith("●") else INK,
        )
    return board.chart(alt)
