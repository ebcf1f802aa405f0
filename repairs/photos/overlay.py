"""The tags of a photo as one SVG, the same on the screen and in a paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

BADGE = 2.2  # radius of a number's badge, in hundredths of the picture's longest side


@dataclass(frozen=True)
class Mark:
    """A tag ready to be drawn: number (0 for a draft), shape, points in 0..1."""

    number: int
    shape: str
    points: tuple[tuple[float, float], ...]


def marks_svg(marks: Sequence[Mark], width: int, height: int, *, label: str = "") -> str:
    """Draw the marks over a picture of that proportion; an empty string when there are none.

    A white casing lies under each brass line, so that it reads on dark and on light wood; number
    and shape tell the marks apart without colour.
    """
    if not marks:
        return ""
    unit = 100 / max(width, height)
    w, h = round(width * unit, 2), round(height * unit, 2)
    body = "".join(_mark(mark, w, h) for mark in marks)
    name = 'role="img"' if label else 'aria-hidden="true"'
    title = f"<title>{escape(label)}</title>" if label else ""
    view = f'viewBox="0 0 {w:g} {h:g}" preserveAspectRatio="xMidYMid meet"'
    return f'<svg class="marks" {view} {name}>{title}{body}</svg>'


def _mark(mark: Mark, w: float, h: float) -> str:
    points = [(x * w, y * h) for x, y in mark.points]
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    if mark.shape == "point":
        shape = "".join(
            f'<circle cx="{points[0][0]:.2f}" cy="{points[0][1]:.2f}" r="1.3" {style}/>'
            for style in (_line("#fff", 0.9), _line("#8a5a12", 0.45))
        )
    else:
        tag = "polygon" if mark.shape == "polygon" else "polyline"
        shape = "".join(
            f'<{tag} points="{path}" {style}/>'
            for style in (_line("#fff", 0.9), _line("#8a5a12", 0.45))
        )
    return shape + _badge(mark, points, w, h)


def _line(colour: str, width: float) -> str:
    ends = 'stroke-linejoin="round" stroke-linecap="round"'
    return f'fill="none" stroke="{colour}" stroke-width="{width}" {ends}'


def _badge(mark: Mark, points: list[tuple[float, float]], w: float, h: float) -> str:
    x = min(max(points[0][0] - BADGE * 1.2, BADGE), w - BADGE)
    y = min(max(points[0][1] - BADGE * 1.2, BADGE), h - BADGE)
    text = str(mark.number) if mark.number else "?"
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{BADGE}" fill="#8a5a12" stroke="#fff" '
        f'stroke-width="0.4"/><text x="{x:.2f}" y="{y + 0.85:.2f}" font-size="2.5" fill="#fff" '
        f'text-anchor="middle" font-weight="bold" font-family="Source Sans Pro">{text}</text>'
    )
