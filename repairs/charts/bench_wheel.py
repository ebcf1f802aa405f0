"""The wheel as the bench sees it: crank, places, where to tap, where to shim."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from repairs.charts.svg import (
    BAD,
    BRASS,
    CARD,
    INK,
    LINE,
    SOFT,
    SPRUCE,
    Board,
    Chart,
    Point,
)

WIDTH, HEIGHT = 560.0, 396.0
CENTRE: Point = (WIDTH / 2, 204.0)
RIM, BAND, HUB, AXLE = 118.0, 104.0, 30.0, 12.0
LETTERS = 21


@dataclass(frozen=True)
class WheelMarks:
    """Places read, where to tap and to shim, in degrees from the crank in the playing direction."""

    places_deg: Sequence[float]
    tap_deg: float | None
    shim_deg: float | None
    is_cut: bool = False
    tap_place: int | None = None
    shim_place: int | None = None


def wheel_drawing(marks: WheelMarks, *, words: Mapping[str, str], comma: bool = False) -> Chart:
    """Draw it seen from the crank: 0° at the top, where the crank stands, angles clockwise."""
    board = Board(WIDTH, HEIGHT, comma)
    _wheel(board, words)
    for place in marks.places_deg:
        board.circle(_at(place, (RIM + BAND) / 2), 3, SOFT, 1, fill=CARD)
    if marks.is_cut:
        board.circle(CENTRE, RIM + 5, BAD, 3, dash="9 6")
        board.text((WIDTH / 2, HEIGHT - 6), words["cut"], LETTERS, anchor="middle", colour=BAD)
    alt = words["alt"]
    if marks.tap_deg is not None and marks.shim_deg is not None:
        _tap(board, marks.tap_deg, (words["tap"], _place(words, marks.tap_place)))
        _shim(board, marks.shim_deg, (words["shim"], _place(words, marks.shim_place)))
        said = words["alt_tap"] % {"tap": f"{marks.tap_deg:g}", "shim": f"{marks.shim_deg:g}"}
        alt = f"{alt}, {said}"
    return board.chart(alt)


def _place(words: Mapping[str, str], place: int | None) -> str:
    """The number of the place at which something is done."""
    return "" if place is None else words["place"] % {"place": place}


def _wheel(board: Board, words: Mapping[str, str]) -> None:
    board.circle(CENTRE, RIM, INK, 3, fill=CARD)
    board.circle(CENTRE, BAND, SOFT, 1.2)
    for angle in range(0, 360, 30):
        board.line(_at(angle, RIM), _at(angle, RIM + 7), SOFT, 1.2)
    for angle in (90, 180, 270):
        x, y = _at(angle, BAND - 20)
        board.text((x, y + 5), f"{angle}°", LETTERS, anchor="middle", colour=SOFT)
    board.line(CENTRE, _at(0, BAND - 26), INK, 7)
    board.circle(_at(0, BAND - 26), 9, INK, 2, fill=CARD)
    board.circle(CENTRE, HUB, INK, 3, fill=CARD)
    board.circle(CENTRE, AXLE, INK, 1, fill=INK)
    board.path(
        [_at(0, RIM + 1), _at(-4, RIM + 14), _at(4, RIM + 14)], INK, 1, closed=True, fill=INK
    )
    board.text((CENTRE[0], 56), words["crank"], LETTERS, anchor="middle", bold=True)
    _sense(board, words["turns"])


def _sense(board: Board, words: str) -> None:
    """The arrow of the playing direction, about the hub."""
    arc = [_at(angle, HUB + 14) for angle in range(200, 331, 10)]
    board.path(arc, BRASS, 3)
    tip = _at(342, HUB + 14)
    board.path([tip, _at(324, HUB + 7), _at(324, HUB + 21)], BRASS, 1, closed=True, fill=BRASS)
    board.text((8, HEIGHT - 6), words, LETTERS, colour=BRASS)


def _tap(board: Board, angle: float, words: tuple[str, str]) -> None:
    """An arrow from outside towards the axle, at the high spot."""
    board.circle(_at(angle, RIM), 6, BAD, 1, fill=BAD)
    # The stroke of chalk across the rim and down the face.
    board.line(_at(angle, HUB + 18), _at(angle, RIM), INK, 2, dash="3 4")
    board.line(_at(angle, RIM + 42), _at(angle, RIM + 16), BAD, 5)
    tip, left, right = _at(angle, RIM + 6), _at(angle - 4, RIM + 20), _at(angle + 4, RIM + 20)
    board.path([tip, left, right], BAD, 1, closed=True, fill=BAD)
    _label(board, angle, (f"{words[0]} {angle:g}°", words[1]), BAD)


def _shim(board: Board, angle: float, words: tuple[str, str]) -> None:
    """A wedge between axle and hub, opposite; its line leads to its name outside the rim."""
    wide = [_at(angle + turn, AXLE + 2) for turn in (-32, 0, 32)]
    wide += [_at(angle + turn, HUB - 2) for turn in (26, 0, -26)]
    board.path(wide, INK, 1.5, closed=True, fill=SPRUCE)
    board.line(_at(angle, HUB), _at(angle, RIM + 16), LINE, 1.5, dash="4 3")
    _label(board, angle, (f"{words[0]} {angle:g}°", words[1]), BRASS)


def _label(board: Board, angle: float, lines: tuple[str, str], colour: str) -> None:
    """The name beside the rim, kept inside the sheet and clear of the crank's."""
    x, y = _at(angle, RIM + 54)
    side = math.sin(math.radians(angle))
    anchor = "start" if side > 0.5 else "end" if side < -0.5 else "middle"
    room = max(map(len, lines)) * LETTERS * 0.64
    x = (
        min(x, WIDTH - 6 - room)
        if anchor == "start"
        else max(x, 6 + room)
        if anchor == "end"
        else x
    )
    y = max(34.0, min(y + 5, HEIGHT - 28 - LETTERS))
    for place, words in enumerate(lines):
        at = (x, y + place * LETTERS)
        board.text(at, words, LETTERS, anchor=anchor, colour=colour, bold=True)


def _at(angle_deg: float, radius: float) -> Point:
    turn = math.radians(angle_deg)
    return CENTRE[0] + radius * math.sin(turn), CENTRE[1] - radius * math.cos(turn)
