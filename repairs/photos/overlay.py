"""The tags of a photo as one SVG, the same on the screen and in a paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

BADGE = 2.2  # radius of a number's badge, in hundredths of the picture's longest side


@dataclass(frozen=True)
class Mark:
    """A tag ready to be drawn: number (0 for a draft), shape, points in 0..1."""

    number: int
    shape: str
    points: tuple[tuple[float, float], ...]

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of its points."""
        count = len(self.points)
        return sum(x for x, _y in self.points) / count, sum(y for _x, y in self.points) / count


@dataclass(frozen=True)
class Window:
    """The piece of a picture that is shown, as shares of its width and height."""

    left: float = 0.0
    top: float = 0.0
    width: float = 1.0
    height: float = 1.0


WHOLE = Window()
Box = tuple[float, float, float, float]


def seen_through(window: Window, marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """The marks whose middle lies in the window, with their points as shares of it."""
    moved = (
        Mark(
            mark.number,
            mark.shape,
            tuple(
                ((x - window.left) / window.width, (y - window.top) / window.height)
                for x, y in mark.points
            ),
        )
        for mark in marks
    )
    return tuple(mark for mark in moved if all(0 <= middle <= 1 for middle in mark.middle))


def marks_svg(
    marks: Sequence[Mark],
    width: int,
    height: int,
    *,
    label: str = "",
    window: Window = WHOLE,
    scale: float = 1.0,
) -> str:
    """Draw the marks over a picture of that proportion; an empty string when there are none.

    A white casing lies under each line, so that it reads on dark and on light wood; number and
    shape tell the marks apart without colour. ``window`` is the piece of the picture that is
    shown; ``scale`` makes lines and badges larger, for a picture that is printed small.
    """
    if not marks:
        return ""
    unit = 100 / max(width, height)
    w, h = width * unit, height * unit
    left, top = window.left * w, window.top * h
    box = (left, top, left + window.width * w, top + window.height * h)
    body = "".join(_mark(mark, (w, h), box, scale) for mark in marks)
    name = 'role="img"' if label else 'aria-hidden="true"'
    title = f"<title>{escape(label)}</title>" if label else ""
    seen = " ".join(f"{round(side, 2):g}" for side in (left, top, box[2] - left, box[3] - top))
    view = f'viewBox="{seen}" preserveAspectRatio="xMidYMid meet"'
    return f'<svg class="marks" {view} {name}>{title}{body}</svg>'


def _mark(mark: Mark, size: tuple[float, float], box: Box, scale: float) -> str:
    points = [(x * size[0], y * size[1]) for x, y in mark.points]
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    styles = (_line("#fff", 0.9 * scale), _line("#1b4d8f", 0.45 * scale))
    if mark.shape == "point":
        at = f'cx="{points[0][0]:.2f}" cy="{points[0][1]:.2f}" r="{1.3 * scale:g}"'
        shape = "".join(f"<circle {at} {style}/>" for style in styles)
    else:
        tag = "polygon" if mark.shape == "polygon" else "polyline"
        shape = "".join(f'<{tag} points="{path}" {style}/>' for style in styles)
    return shape + _badge(mark, points, box, scale)


def _line(colour: str, width: float) -> str:
    ends = 'stroke-linejoin="round" stroke-linecap="round"'
    return f'fill="none" stroke="{colour}" stroke-width="{width:g}" {ends}'


def _badge(mark: Mark, points: list[tuple[float, float]], box: Box, scale: float) -> str:
    radius = BADGE * scale
    x = min(max(points[0][0] - radius * 1.2, box[0] + radius), box[2] - radius)
    y = min(max(points[0][1] - radius * 1.2, box[1] + radius), box[3] - radius)
    text = str(mark.number) if mark.number else "?"
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:g}" fill="#1b4d8f" stroke="#fff" '
        f'stroke-width="{0.4 * scale:g}"/><text x="{x:.2f}" y="{y + 0.85 * scale:.2f}" '
        f'font-size="{2.5 * scale:g}" fill="#fff" text-anchor="middle" font-weight="600" '
        f'font-family="Atelier Engraved">{text}</text>'
    )
