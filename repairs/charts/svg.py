"""A small drawing board: plain data in, SVG text out, the same on the screen and in a paper.

Lengths are in the board's own units; a paper and a screen scale the whole. Colours are those of
the design tokens, written out, since a PDF has no custom properties inside an image.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape

INK, SOFT, LINE, BRASS, SPRUCE = "#14181b", "#465056", "#b3c2cb", "#1b4d8f", "#f6eabf"
GOOD, DOUBT, BAD, CARD = "#0b6350", "#14181b", "#ab2018", "#ffffff"
FONT = "Atelier Text, Atelier Text More, DejaVu Sans, sans-serif"

POINT_IN_NUMBER = re.compile(r"(?<=\d)\.(?=\d)")

Point = tuple[float, float]


@dataclass(frozen=True)
class Chart:
    """A drawing with the sentence that says what it shows."""

    svg: str
    alt: str


@dataclass
class Board:
    """A sheet of that width and height; shapes are added one after another.

    ``comma`` writes decimals with a comma.
    """

    width: float
    height: float
    comma: bool = False
    parts: list[str] = field(default_factory=list)

    def line(
        self, a: Point, b: Point, colour: str = LINE, width: float = 1.0, dash: str = ""
    ) -> None:
        """A straight stroke from ``a`` to ``b``, in units of the drawing."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<line x1="{a[0]:.2f}" y1="{a[1]:.2f}" x2="{b[0]:.2f}" y2="{b[1]:.2f}" '
            f'stroke="{colour}" stroke-width="{width:g}"{dashed}/>'
        )

    def path(
        self,
        points: Iterable[Point],
        colour: str = INK,
        width: float = 1.5,
        *,
        closed: bool = False,
        fill: str = "none",
        dash: str = "",
    ) -> None:
        """A broken line through the points; closed, it may be filled."""
        dots = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
        shape = "polygon" if closed else "polyline"
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<{shape} points="{dots}" fill="{fill}" stroke="{colour}" '
            f'stroke-width="{width:g}" stroke-linejoin="round"{dashed}/>'
        )

    def circle(
        self,
        centre: Point,
        radius: float,
        colour: str = INK,
        width: float = 1.0,
        *,
        fill: str = "none",
        dash: str = "",
    ) -> None:
        """A circle about the centre, radius in units of the drawing."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<circle cx="{centre[0]:.2f}" cy="{centre[1]:.2f}" r="{radius:.2f}" fill="{fill}" '
            f'stroke="{colour}" stroke-width="{width:g}"{dashed}/>'
        )

    def box(self, x: float, y: float, w: float, h: float, fill: str, colour: str = "none") -> None:
        """A filled rectangle; negative sizes grow to the left and upwards."""
        if w < 0:
            x, w = x + w, -w
        if h < 0:
            y, h = y + h, -h
        self.parts.append(
            f'<rect x="{x:.2f}" y="{y:.2f}" width="{w:.2f}" height="{h:.2f}" fill="{fill}" '
            f'stroke="{colour}"/>'
        )

    def text(
        self,
        at: Point,
        words: str,
        size: float = 11,
        *,
        anchor: str = "start",
        colour: str = INK,
        bold: bool = False,
    ) -> None:
        """Words at a point, escaped; ``anchor`` is start, middle or end as in SVG."""
        weight = ' font-weight="600"' if bold else ""
        if self.comma:
            words = POINT_IN_NUMBER.sub(",", words)
        self.parts.append(
            f'<text x="{at[0]:.2f}" y="{at[1]:.2f}" font-size="{size:g}" text-anchor="{anchor}" '
            f'fill="{colour}" font-family="{FONT}"{weight}>{escape(words)}</text>'
        )

    def chart(self, alt: str) -> Chart:
        """Close the board. The title is what a screen reader says."""
        head = f'<svg class="chart" viewBox="0 0 {self.width:g} {self.height:g}" role="img">'
        title = f"<title>{escape(alt)}</title>"
        return Chart(f"{head}{title}{''.join(self.parts)}</svg>", alt)


@dataclass(frozen=True)
class Scale:
    """Maps values to places along one axis."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        span = self.high - self.low or 1.0
        return self.start + (value - self.low) / span * (self.end - self.start)


def nice_ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round values that part the range into about so many steps of 1, 2 or 5."""
    span = high - low
    if span <= 0 or not math.isfinite(span):
        return [low]
    raw = span / about
    power = 10 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1, 2, 5, 10) if raw <= m * power)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(i * step, 10) for i in range(first, last + 1)]


def nice_ceiling(value: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is not less than the value."""
    if value <= 0 or not math.isfinite(value):
        return 1.0
    power: float = 10.0 ** math.floor(math.log10(value))
    return next(m * power for m in (1, 2, 5, 10) if value <= m * power * (1 + 1e-9))


def padded(values: Sequence[float], share: float = 0.12) -> tuple[float, float]:
    """The range of the values with some air on both sides; a flat one is opened up."""
    low, high = min(values), max(values)
    air = (high - low) * share or abs(high) * share or 1.0
    return low - air, high + air


def shown(value: float) -> str:
    """A tick's number without needless zeros."""
    return f"{value:g}".replace("-", "−")
