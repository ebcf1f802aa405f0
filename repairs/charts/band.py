"""Ranges laid under one another on one scale: what was recorded, what is asked for."""

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
    shown,
)


@dataclass(frozen=True)
class Band:
    """A named range, with a mark where its middle or mean lies."""

    name: str
    low: float | None
    high: float | None
    mark: float | None


def band_chart(
    bands: Sequence[Band], *, unit: str, low: float, high: float, alt: str, comma: bool = False
) -> Chart:
    """Draw each range as a bar on the scale from ``low`` to ``high``."""
    width, line = 520.0, 40.0
    board = Board(width, 30 + line * len(bands) + 26, comma)
    x = Scale(low, high, 110.0, width - 24)
    for tick in nice_ticks(low, high, 8):
        board.line((x(tick), 12), (x(tick), 18 + line * len(bands)), LINE, 0.6)
        board.text((x(tick), 34 + line * len(bands)), shown(tick), 12, anchor="middle", colour=SOFT)
    board.text((102, 34 + line * len(bands)), unit, 12, anchor="end", colour=SOFT)
    for place, band in enumerate(bands):
        if band.low is None or band.high is None:
            continue
        top = 16 + line * place
        board.box(x(band.low), top + 6, x(band.high) - x(band.low), line - 18, SPRUCE, BRASS)
        board.text((102, top + 23), band.name, 13, anchor="end")
        board.text((x(band.low) - 3, top + 23), f"{band.low:.0f}", 12, anchor="end")
        board.text((x(band.high) + 3, top + 23), f"{band.high:.0f}", 12)
        if band.mark is not None:
            board.line((x(band.mark), top + 3), (x(band.mark), top + line - 9), INK, 2)
    return board.chart(alt)
