"""A signature drawn with a finger or a pen: strokes of points, checked, and drawn again as SVG."""

from __future__ import annotations

import json
import math
from html import escape
from itertools import pairwise

Strokes = list[list[list[float]]]

# What a slow hand leaves on a tablet, three times over; more is a script, and would stand in a
# paper for ever.
MOST_STROKES, MOST_POINTS = 80, 4000
MOST_LETTERS = 120_000
LEAST_LENGTH = 0.15  # of the field's width: less is a slip of the finger
WIDTH, HEIGHT = 300, 100


class SignatureError(ValueError):
    """What was sent is no signature."""


def read_strokes(text: str) -> Strokes:
    """Read what the page sends; nothing drawn is an empty list. Raises SignatureError."""
    if not text.strip():
        return []
    if len(text) > MOST_LETTERS:
        raise SignatureError("too long")
    try:
        return checked(json.loads(text))
    except (ValueError, RecursionError) as fault:
        raise SignatureError("not readable") from fault


def checked(value: object) -> Strokes:
    """Strokes of points between 0 and 1, long enough to be meant. Raises SignatureError."""
    if not isinstance(value, list) or not all(isinstance(stroke, list) for stroke in value):
        raise SignatureError("not a list of strokes")
    if len(value) > MOST_STROKES or sum(len(stroke) for stroke in value) > MOST_POINTS:
        raise SignatureError("too many points")
    strokes = [[_point(point) for point in stroke] for stroke in value if stroke]
    if strokes and sum(_length(stroke) for stroke in strokes) < LEAST_LENGTH:
        raise SignatureError("too short")
    return strokes


def _point(value: object) -> list[float]:
    if not isinstance(value, list) or len(value) != 2:
        raise SignatureError("not a point")
    for part in value:
        # In Python true is a number, and NaN passes no comparison: both would end in an SVG that no
        # PDF shows.
        if isinstance(part, bool) or not isinstance(part, int | float) or not 0 <= part <= 1:
            raise SignatureError("a point lies outside the field")
    # A ten-thousandth of the field is finer than any pen, and keeps the row short.
    return [round(float(part), 4) for part in value]


def _length(stroke: list[list[float]]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(stroke))


def signature_svg(strokes: Strokes, label: str) -> str:
    """The strokes in dark ink; empty when nothing was drawn."""
    if not strokes:
        return ""
    path = "".join(_path(stroke) for stroke in strokes)
    ink = 'fill="none" stroke="#14181b" stroke-width="1.6"'
    ends = 'stroke-linejoin="round" stroke-linecap="round"'
    return (
        f'<svg class="signature-drawn" viewBox="0 0 {WIDTH} {HEIGHT}" role="img">'
        f'<title>{escape(label)}</title><path d="{path}" {ink} {ends}/></svg>'
    )


def _path(stroke: list[list[float]]) -> str:
    points = [f"{x * WIDTH:.1f} {y * HEIGHT:.1f}" for x, y in stroke]
    return f"M{points[0]}" + "".join(f"L{point}" for point in points[1:] or points)
