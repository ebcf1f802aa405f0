"""The wheel as the dial saw it: its deviations blown up on a circle, the high spot marked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from repairs.charts.svg import (
    BRASS,
    DOUBT,
    INK,
    LINE,
    SOFT,
    SPRUCE,
    Board,
    Chart,
    Point,
    nice_ceiling,
    shown,
)

SIZE = 420.0
CENTRE: Point = (SIZE / 2, SIZE / 2)
INNER, OUTER = 60.0, 160.0
LETTERS = 16  # of a picture 420 wide: still read where it is printed 57 mm wide


@dataclass(frozen=True)
class PolarSeries:
    """Deviations in mm (outwards positive) at angles in degrees, in the playing direction."""

    angles_deg: Sequence[float]
    values_mm: Sequence[float]


@dataclass(frozen=True)
class Act:
    """What the hands do at one place of the rim, and its name: told by shape, not by colour."""

    kind: Literal["tap", "shim"]
    angle_deg: float
    name: str


@dataclass(frozen=True)
class PolarWords:
    """What is written on the plot; ``acts``: what is done at which place."""

    crank: str
    high_spot: str
    before: str
    sense: str = ""
    unit: str = "mm"
    comma: bool = False
    acts: tuple[Act, ...] = ()


def polar_chart(
    now: PolarSeries,
    *,
    words: PolarWords,
    alt: str,
    high_spot_deg: float | None,
    ecc_mm: float,
    before: PolarSeries | None = None,
) -> Chart:
    """Draw the profile; 0° is at the top (the crank's mark), angles grow clockwise.

    An arrow beside the rim says that this is the sense of playing, seen from the crank.

    The dashed circle is where a wheel without run-out would lie; a second series, from before, is
    drawn thin and dashed under the first. An arrow inwards says tap, a wedge at the axle shim.
    """
    board = Board(SIZE, SIZE + 22.0 * len(words.acts), words.comma)
    series = [now] if before is None else [before, now]
    reach = nice_ceiling(max(max(abs(v) for v in one.values_mm) for one in series))
    _rings(board, reach, words)
    if before is not None:
        board.path(_points(before, reach), SOFT, 1.2, closed=True, dash="5 4")
        board.text((8, SIZE - 4), f"- - {words.before}", LETTERS, colour=SOFT)
    board.path(_points(now, reach), BRASS, 2.2, closed=True)
    for point in _points(now, reach):
        board.circle(point, 2.6, BRASS, 1, fill="#fff")
    if high_spot_deg is not None:
        _high_spot(board, high_spot_deg, ecc_mm, words)
    _acts(board, words.acts)
    return board.chart(alt)


def _rings(board: Board, reach: float, words: PolarWords) -> None:
    middle = (INNER + OUTER) / 2
    for share, dash in ((-1.0, ""), (0.0, "4 3"), (1.0, "")):
        radius = middle + share * (OUTER - INNER) / 2
        board.circle(CENTRE, radius, SOFT if dash else LINE, 1, dash=dash)
        label = f"{shown(round(share * reach, 4))} {words.unit}"
        board.text((CENTRE[0] + 4, CENTRE[1] + radius - 4), label, LETTERS, colour=SOFT)
    for angle in range(0, 360, 30):
        a, b = _at(angle, INNER - 6), _at(angle, OUTER + 6)
        board.line(a, b, LINE, 0.6)
        x, y = _at(angle, OUTER + 22)
        board.text((x, y + 5), f"{angle}°", LETTERS, anchor="middle", colour=SOFT)
    board.box(CENTRE[0] - 5, CENTRE[1] - OUTER - 40, 10, 10, SPRUCE, INK)
    board.text((CENTRE[0] + 10, CENTRE[1] - OUTER - 31), words.crank, LETTERS)
    if words.sense:
        _sense(board, words.sense)


def _sense(board: Board, said: str) -> None:
    """The way in which the wheel turns in playing, and in which angles are counted."""
    radius = OUTER + 40
    board.path([_at(angle, radius) for angle in range(26, 47, 2)], SOFT, 1.6)
    tip = _at(46, radius)
    for barb in (radius - 7, radius + 7):
        board.line(tip, _at(42, barb), SOFT, 1.6)
    board.text((SIZE - 4, 16), said, LETTERS, anchor="end", colour=SOFT)


def _high_spot(board: Board, angle: float, ecc_mm: float, words: PolarWords) -> None:
    tip, foot = _at(angle, INNER - 10), CENTRE
    board.line(foot, tip, DOUBT, 2.4)
    for turn in (-12, 12):
        board.line(tip, _at(angle + turn, INNER - 22), DOUBT, 2.4)
    text = f"{words.high_spot} {angle:.0f}°, {ecc_mm:.3f} {words.unit}"
    board.text((SIZE - 4, SIZE - 4), text, LETTERS, anchor="end", bold=True)


def _acts(board: Board, acts: Sequence[Act]) -> None:
    """An arrow or a wedge at its place, and its name below the plot."""
    for act in acts:
        _tap(board, act.angle_deg) if act.kind == "tap" else _shim(board, act.angle_deg)
    for line, act in enumerate(acts):
        board.text((8, SIZE + 16 + 22 * line), act.name, LETTERS, bold=True)


def _tap(board: Board, angle: float) -> None:
    """A full arrow from outside towards the axle, and the stroke of chalk that marks the place."""
    tip = _at(angle, OUTER + 8)
    board.line(_at(angle, OUTER + 46), _at(angle, OUTER + 22), INK, 5)
    head = [tip, _at(angle - 3.4, OUTER + 24), _at(angle + 3.4, OUTER + 24)]
    board.path(head, INK, 1, closed=True, fill=INK)
    board.line(_at(angle, INNER), _at(angle, OUTER), INK, 1.4, dash="2 3")


def _shim(board: Board, angle: float) -> None:
    """An outlined wedge on the far side of the axle, with a dashed line to the rim."""
    wedge = [_at(angle - 24, 34), _at(angle + 24, 34), _at(angle, 12)]
    board.path(wedge, INK, 1.8, closed=True, fill=SPRUCE)
    board.line(_at(angle, 36), _at(angle, OUTER + 6), INK, 1.2, dash="7 4")


def _points(series: PolarSeries, reach: float) -> list[Point]:
    middle, half = (INNER + OUTER) / 2, (OUTER - INNER) / 2
    pairs = sorted(zip(series.angles_deg, series.values_mm, strict=True))
    return [_at(angle, middle + value / reach * half) for angle, value in pairs]


def _at(angle_deg: float, radius: float) -> Point:
    turn = math.radians(angle_deg)
    return CENTRE[0] + radius * math.sin(turn), CENTRE[1] - radius * math.cos(turn)
