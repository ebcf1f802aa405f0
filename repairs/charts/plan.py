"""Places on a plate seen from above, each with how far it sank or rose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from repairs.charts.svg import BRASS, INK, LINE, SOFT, SPRUCE, Board, Chart, Scale, padded

WIDTH, MOST_HEIGHT, LEAST_R, MOST_R = 520.0, 420.0, 3.0, 20.0


@dataclass(frozen=True)
class Spot:
    """A place in mm, its move upwards in mm, whether that is sure, and its name."""

    name: str
    x_mm: float
    y_mm: float
    move_mm: float
    is_sure: bool
    is_edge: bool = False


def plan_chart(spots: Sequence[Spot], *, alt: str, comma: bool = False) -> Chart:
    """Draw each place where it lies: filled sank, hollow rose; small where it is not sure."""
    x_ends = padded([spot.x_mm for spot in spots], 0.18)
    y_ends = padded([spot.y_mm for spot in spots], 0.18)
    share = (y_ends[1] - y_ends[0]) / max(x_ends[1] - x_ends[0], 1e-9)
    height = min(max(WIDTH * share, 160.0), MOST_HEIGHT)
    board = Board(WIDTH, height, comma)
    x, y = Scale(*x_ends, 30.0, WIDTH - 30.0), Scale(*y_ends, height - 24.0, 24.0)
    most = max((abs(spot.move_mm) for spot in spots if spot.is_sure), default=0.0)
    for spot in spots:
        at = (x(spot.x_mm), y(spot.y_mm))
        if spot.is_edge:
            board.box(at[0] - 4, at[1] - 4, 8, 8, LINE, SOFT)
            continue
        radius = MOST_R * (abs(spot.move_mm) / most) ** 0.5 if spot.is_sure and most else LEAST_R
        fill = (BRASS if spot.move_mm < 0 else SPRUCE) if spot.is_sure else "none"
        board.circle(at, max(radius, LEAST_R), INK if spot.is_sure else SOFT, 1.0, fill=fill)
        below = at[1] + max(radius, LEAST_R) + 13
        board.text((at[0], below), f"{spot.name}: {spot.move_mm:+.2f}", 11, anchor="middle")
    return board.chart(alt)
