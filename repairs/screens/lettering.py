"""Cuts the house's two faces from their open sources: few letters, and our own signs drawn in.

Sources: Atkinson Hyperlegible Next and National Park, both under the SIL Open Font License 1.1
(texts beside the cut files; changed files bear other names, as the licence asks). Each face has a
file of the letters that French and English pages use, and a second one, fetched only when a name
asks for it, of the other Latin letters; packed for screens (woff2), and plain for papers (ttf).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

Point = tuple[float, float]
Drawing = Callable[[TTGlyphPen], None]

# Latin-1, the French letters beyond it, dashes, quotes, minutes, arrows, and the signs of figures.
LETTERS = frozenset(
    (
        *range(0x20, 0x7F),
        *range(0xA0, 0x100),
        *(0x152, 0x153, 0x178, 0x2B3, 0x2013, 0x2014, 0x2018, 0x2019, 0x201C, 0x201D, 0x2026),
        *(0x20AC, 0x2212, 0x2264, 0x2265, 0x2248, 0x2032, 0x2033, 0x2190, 0x2191, 0x2192, 0x2193),
    )
)
MORE_LETTERS = frozenset((*range(0x100, 0x250), *range(0x1E00, 0x1F00))) - LETTERS
# Arrows, minutes and seconds of arc, and the micro sign, which the text face has not.
NARROW_SPACE, BORROWED = 0x202F, (0x2190, 0x2191, 0x2192, 0x2193, 0x2032, 0x2033, 0xB5)
FEATURES = ("kern", "mark", "ccmp", "locl", "tnum", "frac")
MIDDLE, RADIUS = (400.0, 350.0), 300.0
FAMILY, FULL_NAME, UNIQUE, POSTSCRIPT, TYPOGRAPHIC = 1, 4, 3, 6, 16  # of the OpenType name table


@dataclass(frozen=True)
class Face:
    """One face to cut: its source, its name, how heavy its signs are drawn (units of the em)."""

    name: str
    family: str
    source: str
    weight: int
    stroke: int
    arrows: str = ""  # the source of the arrows and signs that it has not


FACES = (
    Face(
        "atelier-text-400",
        "Atelier Text",
        "AtkinsonHyperlegibleNext_400Regular.ttf",
        400,
        72,
        "NationalPark_400Regular.ttf",
    ),
    Face(
        "atelier-text-700",
        "Atelier Text",
        "AtkinsonHyperlegibleNext_700Bold.ttf",
        700,
        110,
        "NationalPark_600SemiBold.ttf",
    ),
    Face(
        "atelier-text-400-italic",
        "Atelier Text",
        "AtkinsonHyperlegibleNext_400Regular_Italic.ttf",
        400,
        72,
        "NationalPark_400Regular.ttf",
    ),
    Face("atelier-engraved-600", "Atelier Engraved", "NationalPark_600SemiBold.ttf", 600, 100),
)


def cut(face: Face, sources: Path, to: Path) -> list[Path]:
    """Write the files of a face. Raises FileNotFoundError when a source is not there."""
    main = _subset(_found(sources, face.source), LETTERS)
    _draw_signs(main, face.stroke)
    if face.arrows:
        _borrow(main, _found(sources, face.arrows))
        _clear_zero(main)
    more = _subset(_found(sources, face.source), MORE_LETTERS)
    _name(main, face.family, face.name, face.weight)
    _name(more, f"{face.family} More", f"{face.name}-more", face.weight)
    return [*_saved(main, to / face.name), *_saved(more, to / f"{face.name}-more")]


def _found(sources: Path, name: str) -> Path:
    for path in sorted(sources.rglob(name)):
        return path
    raise FileNotFoundError(f"{name} is not below {sources}")


def _subset(source: Path, points: Iterable[int]) -> TTFont:
    options = Options()
    options.layout_features = list(FEATURES)
    options.hinting = False
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14]
    options.drop_tables += ["STAT", "DSIG", "gasp"]
    font = TTFont(source)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=list(points))
    subsetter.subset(font)
    return font


def _name(font: TTFont, family: str, name: str, weight: int) -> None:
    font["maxp"].numGlyphs = len(font.getGlyphOrder())
    said = {FAMILY: family, TYPOGRAPHIC: family, FULL_NAME: name, POSTSCRIPT: name}
    for record in font["name"].names:
        record.string = {**said, UNIQUE: f"subset;{name}"}.get(record.nameID, record.string)
    font["OS/2"].usWeightClass = weight


def _saved(font: TTFont, path: Path) -> list[Path]:
    """Plain and packed. The same sources give the same bytes: no time of making is written."""
    font.recalcTimestamp = False
    written = []
    for suffix, flavor in ((".ttf", None), (".woff2", "woff2")):
        font.flavor = flavor
        written.append(path.with_suffix(suffix))
        font.save(written[-1])
    return written


def _add(font: TTFont, point: int, drawn: TTGlyphPen, advance: float) -> None:
    name = f"uni{point:04X}"
    if name not in font.getGlyphOrder():
        font.setGlyphOrder([*font.getGlyphOrder(), name])
    glyph = drawn.glyph()
    font["glyf"].glyphs[name] = glyph
    font["glyf"].glyphOrder = font.getGlyphOrder()
    glyph.recalcBounds(font["glyf"])
    font["hmtx"][name] = (round(advance), getattr(glyph, "xMin", 0) or 0)
    for table in font["cmap"].tables:
        if table.isUnicode():
            table.cmap[point] = name


def _draw_signs(font: TTFont, stroke: float) -> None:
    """● ○ ◐ ✕ ✓ ♯ ♭, so that no sign falls back to a stranger's face; and the narrow space."""
    for point, (drawing, advance) in _signs(stroke).items():
        pen = TTGlyphPen(None)
        drawing(pen)
        _add(font, point, pen, advance)
    space, _bearing = font["hmtx"][font.getBestCmap()[0x20]]
    _add(font, NARROW_SPACE, TTGlyphPen(None), space * 0.7)


def _signs(stroke: float) -> dict[int, tuple[Drawing, int]]:
    """How each sign is drawn, and how wide it stands (units of the em)."""
    drawings: dict[int, tuple[Callable[..., None], int]] = {
        0x25CF: (_full, 800),
        0x25CB: (_empty, 800),
        0x25D0: (_half, 800),
        0x2715: (_cross, 800),
        0x2713: (_tick, 800),
        0x266F: (_sharp, 500),
        0x266D: (_flat, 440),
    }
    return {
        point: (partial(drawing, stroke=stroke), advance)
        for point, (drawing, advance) in drawings.items()
    }


def _full(pen: TTGlyphPen, stroke: float) -> None:
    _ring(pen, MIDDLE, RADIUS)


def _empty(pen: TTGlyphPen, stroke: float) -> None:
    _ring(pen, MIDDLE, RADIUS)
    _ring(pen, MIDDLE, RADIUS - stroke, is_hole=True)


def _half(pen: TTGlyphPen, stroke: float) -> None:
    _empty(pen, stroke)
    turns = [math.pi / 2 + math.pi * step / 14 for step in range(14, -1, -1)]
    inner = RADIUS - stroke / 2
    points = [(MIDDLE[0] + inner * math.cos(a), MIDDLE[1] + inner * math.sin(a)) for a in turns]
    _polygon(pen, points)


def _cross(pen: TTGlyphPen, stroke: float) -> None:
    _bar(pen, (140, 90), (660, 610), stroke * 1.25)
    _bar(pen, (140, 610), (660, 90), stroke * 1.25)


def _tick(pen: TTGlyphPen, stroke: float) -> None:
    _bar(pen, (95, 330), (320, 105), stroke * 1.25)
    _bar(pen, (270, 120), (690, 610), stroke * 1.25)


def _sharp(pen: TTGlyphPen, stroke: float) -> None:
    for x, top in ((170, 720), (330, 760)):
        _bar(pen, (x, -60), (x, top), stroke * 0.62)
    for y in (210, 450):
        _bar(pen, (70, y), (430, y + 70), stroke * 0.95)


def _flat(pen: TTGlyphPen, stroke: float) -> None:
    _bar(pen, (110, 0), (110, 780), stroke * 0.7)
    _ring(pen, (210, 190), 190)
    _ring(pen, (200, 190), 190 - stroke, is_hole=True)


def _ring(pen: TTGlyphPen, middle: Point, radius: float, *, is_hole: bool = False) -> None:
    """A circle of eight arcs; a hole runs the other way round."""
    reach = radius / math.cos(math.pi / 8)
    turns = [math.pi / 4 * step + math.pi / 8 for step in range(8)]
    turns = turns if is_hole else [-turn for turn in turns]
    points = [(middle[0] + reach * math.cos(a), middle[1] + reach * math.sin(a)) for a in turns]
    pen.qCurveTo(*points, None)
    pen.closePath()


def _polygon(pen: TTGlyphPen, points: Sequence[Point]) -> None:
    pen.moveTo(points[0])
    for point in points[1:]:
        pen.lineTo(point)
    pen.closePath()


def _bar(pen: TTGlyphPen, start: Point, end: Point, width: float) -> None:
    (x1, y1), (x2, y2) = start, end
    length = math.hypot(x2 - x1, y2 - y1)
    nx, ny = -(y2 - y1) / length * width / 2, (x2 - x1) / length * width / 2
    _polygon(pen, [(x1 + nx, y1 + ny), (x2 + nx, y2 + ny), (x2 - nx, y2 - ny), (x1 - nx, y1 - ny)])


def _borrow(font: TTFont, source: Path) -> None:
    with TTFont(source) as other:
        glyphs, known = other.getGlyphSet(), other.getBestCmap()
        for point in BORROWED:
            if point in font.getBestCmap():
                continue
            record, pen = DecomposingRecordingPen(glyphs), TTGlyphPen(None)
            glyphs[known[point]].draw(record)
            record.replay(pen)
            _add(font, point, pen, glyphs[known[point]].width)


def _clear_zero(font: TTFont) -> None:
    """A plain zero: its slash is noise in dates and readings, and our codes use neither 0 nor O.

    The counter is the outline drawn smaller, to the box of the slashed one.
    """
    glyf = font["glyf"]
    zero = glyf[font.getBestCmap()[0x30]]
    coordinates, ends, _flags = zero.getCoordinates(glyf)
    outline, inner = list(coordinates[: ends[0] + 1]), list(coordinates[ends[0] + 1 :])
    (left, low, right, high), box = _box(outline), _box(inner)
    wide, tall = (box[2] - box[0]) / (right - left), (box[3] - box[1]) / (high - low)
    counter = [(box[0] + (x - left) * wide, box[1] + (y - low) * tall) for x, y in outline]
    pen = TTGlyphPen(None)
    flags = [bool(flag & 1) for flag in _flags[: ends[0] + 1]]
    _contour(pen, outline, flags)
    _contour(pen, counter[::-1], flags[::-1])
    name = font.getBestCmap()[0x30]
    glyf.glyphs[name] = pen.glyph()
    glyf.glyphs[name].recalcBounds(glyf)


def _contour(pen: TTGlyphPen, points: Sequence[Point], on_curve: Sequence[bool]) -> None:
    """One closed outline of quadratic curves, as a TrueType glyph holds it."""
    start = on_curve.index(True)
    order = [*range(start + 1, len(points)), *range(start + 1)]
    pen.moveTo(points[start])
    waiting: list[Point] = []
    for place in order:
        waiting.append(points[place])
        if on_curve[place]:
            pen.qCurveTo(*waiting) if len(waiting) > 1 else pen.lineTo(waiting[0])
            waiting = []
    pen.closePath()


def _box(points: Sequence[Point]) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _y in points], [y for _x, y in points]
    return min(xs), min(ys), max(xs), max(ys)
