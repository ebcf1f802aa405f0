"""The force of the wheel over one turn of the crank, and how much of it an ear hears."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from repairs.charts.svg import (
    BRASS,
    INK,
    LINE,
    SOFT,
    Board,
    Chart,
    Scale,
    nice_ceiling,
    shown,
)

WIDTH, HEIGHT = 560.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 70.0, 378.0, 52.0, 236.0
LETTERS = 16
LEAST_REACH = 5.0
DASHES = ("", "7 5")


@dataclass(frozen=True)
class Curve:
    """The force of one string by place of the rim under it, in per cent of its mean."""

    name: str
    places_deg: Sequence[float]
    pct: Sequence[float]


def turn_chart(
    curves: Sequence[Curve],
    *,
    levels: Mapping[float, str],
    words: Mapping[str, str],
    alt: str,
    comma: bool = False,
) -> Chart:
    """Draw one or two strings over one turn forward, from left to right as time goes.

    Turned forward, the places pass backwards under a string: 360° stands on the left, 0° on the
    right. ``levels`` are swings in per cent, with what is written beside them; the first
    curve is drawn thick, the second dashed, so that they are told apart without colour.
    """
    board = Board(WIDTH, HEIGHT, comma)
    most = max((abs(v) for one in curves for v in one.pct), default=0.0)
    reach = nice_ceiling(max(most * 1.05, LEAST_REACH))
    y = Scale(-reach, reach, BOTTOM, TOP)
    x = Scale(360.0, 0.0, LEFT, RIGHT)
    _frame(board, x, y, reach, words)
    for level, said in levels.items():
        if level < reach * 0.98:
            _level(board, y, level, said)
    for place, (curve, dash) in enumerate(zip(curves, DASHES, strict=False)):
        pairs = sorted(zip(curve.places_deg, curve.pct, strict=True), reverse=True)
        colour, width = (BRASS, 2.6) if not dash else (INK, 1.6)
        board.path([(x(a), y(v)) for a, v in pairs], colour, width, dash=dash)
        _name(board, place, curve.name, dash)
    return board.chart(alt)


def _frame(board: Board, x: Scale, y: Scale, reach: float, words: Mapping[str, str]) -> None:
    for value in (-reach, 0.0, reach):
        board.line((LEFT, y(value)), (RIGHT, y(value)), SOFT if value == 0 else LINE, 1)
        sign = "+" if value > 0 else ""
        label = f"{sign}{shown(value)} %" if value else words["mean"]
        board.text((LEFT - 6, y(value) + 5), label, LETTERS, anchor="end", colour=SOFT)
    for angle in (360, 270, 180, 90, 0):
        board.line((x(angle), BOTTOM), (x(angle), BOTTOM + 6), SOFT, 1)
        board.text((x(angle), BOTTOM + 23), f"{angle}°", LETTERS, anchor="middle", colour=SOFT)
    middle = (LEFT + RIGHT) / 2
    board.text((middle, HEIGHT - 16), words["below"], LETTERS, anchor="middle", colour=SOFT)
    tip = (RIGHT, HEIGHT - 6)
    board.line((LEFT, HEIGHT - 6), tip, SOFT, 1.4)
    board.path([tip, (RIGHT - 9, HEIGHT - 10), (RIGHT - 9, HEIGHT - 2)], SOFT, 1, closed=True)


def _level(board: Board, y: Scale, level: float, said: str) -> None:
    for value in (level, -level):
        board.line((LEFT, y(value)), (RIGHT, y(value)), SOFT, 0.8, dash="2 4")
    board.text((RIGHT + 6, y(level) + 5), said, 14, colour=SOFT)


def _name(board: Board, place: int, name: str, dash: str) -> None:
    line = 16 + 20 * place
    colour, width = (BRASS, 2.6) if not dash else (INK, 1.6)
    board.line((LEFT, line), (LEFT + 34, line), colour, width, dash=dash)
    board.text((LEFT + 42, line + 5), name, LETTERS)
