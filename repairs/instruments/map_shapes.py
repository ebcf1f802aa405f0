"""What lies where on a map of parts: its outlines as polygons, and which of them holds a place.

Maps are drawn with a few letters of SVG paths only (``M l h v c a z``, half arcs, all but the first
relative); anything else is refused, so that a map can be measured as a finger finds it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

Point = tuple[float, float]
Loop = list[Point]

PIECE = re.compile(r"([A-Za-z])([^A-Za-z]*)")
NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)")
CURVE_STEPS = (0.2, 0.4, 0.6, 0.8, 1.0)
ARC_STEPS = 12


def loops_of(path: str) -> list[Loop]:
    """The closed outlines of path data, in units of the map.

    Raises ValueError for a letter that maps do not use, and for an outline that is not closed.
    """
    loops: list[Loop] = []
    at: Point = (0.0, 0.0)
    for letter, rest in PIECE.findall(path):
        numbers = [float(number) for number in NUMBER.findall(rest)]
        if letter == "M":
            at = (numbers[0], numbers[1])
            loops.append([at])
        elif letter == "z":
            at = loops[-1][0]
        else:
            loops[-1] += _steps(letter, at, numbers)
            at = loops[-1][-1]
    if not loops or path.count("M") != path.count("z") or not path.endswith("z"):
        raise ValueError("an outline is not closed")
    return loops


def _steps(letter: str, at: Point, numbers: Sequence[float]) -> Loop:
    if letter in ("h", "v"):
        steps = [(n, 0.0) if letter == "h" else (0.0, n) for n in numbers]
        return _walked(at, steps)
    if letter == "l":
        return _walked(at, list(zip(numbers[::2], numbers[1::2], strict=True)))
    if letter == "c":
        return list(_curves(at, numbers))
    if letter == "a":
        return list(_half_arc(at, numbers))
    raise ValueError(f"maps are not drawn with the letter {letter}")


def _walked(at: Point, steps: Sequence[Point]) -> Loop:
    found = []
    for dx, dy in steps:
        at = (at[0] + dx, at[1] + dy)
        found.append(at)
    return found


def _curves(at: Point, numbers: Sequence[float]) -> Iterator[Point]:
    """Points along Bézier curves, each of six numbers from where the last one ended."""
    for first in range(0, len(numbers), 6):
        (x, y), (ax, ay, bx, by, cx, cy) = at, numbers[first : first + 6]
        for t in CURVE_STEPS:
            u = 1 - t
            one, two, three = 3 * u * u * t, 3 * u * t * t, t**3
            yield x + one * ax + two * bx + three * cx, y + one * ay + two * by + three * cy
        at = (x + cx, y + cy)


def _half_arc(at: Point, numbers: Sequence[float]) -> Iterator[Point]:
    """Points along half an ellipse to the place opposite, anticlockwise on the page."""
    rx, ry, dx, dy = numbers[0], numbers[1], numbers[5], numbers[6]
    middle = at[0] + dx / 2, at[1] + dy / 2
    first = math.atan2(-dy / ry, -dx / rx)
    for step in range(1, ARC_STEPS + 1):
        turn = first - math.pi * step / ARC_STEPS
        yield middle[0] + rx * math.cos(turn), middle[1] + ry * math.sin(turn)


def holds(loops: Sequence[Loop], place: Point) -> bool:
    """Whether the place lies inside the outlines, by the even-odd rule of the maps."""
    x, y = place
    crossings = 0
    for loop in loops:
        for (ax, ay), (bx, by) in pairwise([*loop, loop[0]]):
            if (ay <= y) != (by <= y) and ax + (y - ay) / (by - ay) * (bx - ax) > x:
                crossings += 1
    return crossings % 2 == 1
