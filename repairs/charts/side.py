"""The keybox from the side: the string's line over walls and flags to the wheel and the bridge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from repairs.charts.svg import (
    BAD,
    BRASS,
    DOUBT,
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

WIDTH, HEIGHT = 640.0, 250.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, 14.0, 24.0, 44.0


@dataclass(frozen=True)
class FlagMark:
    """One tangent's flag: place from the nut, lower and upper edge (mm), name, verdict's word."""

    at_mm: float
    low_mm: float
    high_mm: float
    name: str
    word: str


@dataclass(frozen=True)
class SideView:
    """All that is drawn; heights in mm above one plane, places in mm from the nut."""

    length_mm: float
    lines: Sequence[Sequence[tuple[float, float]]]
    flags: Sequence[FlagMark]
    walls: Sequence[tuple[str, float, float]] = ()
    lid: tuple[float, float, float] | None = None
    earlier: Sequence[Sequence[tuple[float, float]]] = ()


def side_chart(view: SideView, *, words: Mapping[str, str], alt: str, comma: bool = False) -> Chart:
    """Draw the side view. ``words`` names nut, bridge, wheel and lid."""
    board = Board(WIDTH, HEIGHT, comma)
    heights = [h for line in (*view.lines, *view.earlier) for _x, h in line]
    heights += [h for flag in view.flags for h in (flag.low_mm, flag.high_mm)]
    heights += [wall[2] for wall in view.walls] + ([view.lid[2]] if view.lid else [])
    x = Scale(0.0, view.length_mm, LEFT, WIDTH - RIGHT)
    y = Scale(*padded(heights), HEIGHT - BOTTOM, TOP)
    _axes(board, view, x, y)
    if view.lid:
        start, end, height = view.lid
        board.line((x(start), y(height)), (x(end), y(height)), SOFT, 2.4)
        board.text((x(start) + 2, y(height) - 4), words["lid"], 10, colour=SOFT)
    for name, at, height in view.walls:
        board.box(x(at) - 2, y(height), 4, y(y.low) - y(height), LINE)
        board.text((x(at), y(height) - 4), name, 10, anchor="middle", colour=SOFT)
    for flag in view.flags:
        _flag(board, flag, x, y)
    for line in view.earlier:
        board.path([(x(at), y(height)) for at, height in line], SOFT, 1.2, dash="5 4")
    if view.earlier:
        board.text((LEFT, HEIGHT - 4), f"- - {words['before']}", 10, colour=SOFT)
    for line in view.lines:
        board.path([(x(at), y(height)) for at, height in line], INK, 1.6)
        for at, height in line:
            board.circle((x(at), y(height)), 2.4, INK, 1, fill=INK)
    _ends(board, view, x, words)
    return board.chart(alt)


def _axes(board: Board, view: SideView, x: Scale, y: Scale) -> None:
    for tick in nice_ticks(y.low, y.high, 4):
        board.line((LEFT, y(tick)), (WIDTH - RIGHT, y(tick)), LINE, 0.5)
        board.text((LEFT - 5, y(tick) + 4), shown(tick), 10, anchor="end", colour=SOFT)
    for tick in nice_ticks(0, view.length_mm, 8):
        board.text((x(tick), HEIGHT - 18), shown(tick), 10, anchor="middle", colour=SOFT)
    board.text((WIDTH - RIGHT, HEIGHT - 4), "mm", 10, anchor="end", colour=SOFT)


def _flag(board: Board, flag: FlagMark, x: Scale, y: Scale) -> None:
    colour = {"outside": BAD, "doubtful": DOUBT}.get(flag.word, BRASS)
    top = y(flag.high_mm)
    board.box(x(flag.at_mm) - 2.2, top, 4.4, y(flag.low_mm) - top, SPRUCE, colour)
    board.text((x(flag.at_mm), HEIGHT - 31), flag.name, 8.5, anchor="middle")
    sign = {"outside": "✕", "doubtful": "◐"}.get(flag.word, "")
    if sign:
        board.text((x(flag.at_mm), top - 3), sign, 10, anchor="middle", colour=colour)


def _ends(board: Board, view: SideView, x: Scale, words: Mapping[str, str]) -> None:
    board.text((x(0), 14), words["nut"], 11)
    board.text((x(view.length_mm), 14), words["bridge"], 11, anchor="end")
    inner = [at for line in view.lines for at, _h in line if 0 < at < view.length_mm]
    if inner:
        board.text((x(inner[0]) - 4, 14), words["wheel"], 11, anchor="end")
