"""Printed things: the scale and colour card that lies in every picture, and the maker's label."""

from functools import lru_cache
from pathlib import Path

import font_source_sans_pro
import font_source_serif_pro
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from repairs.demo.pictures.lens import MARGIN
from repairs.demo.pictures.stage import Region, Stage
from repairs.demo.pictures.texture import field

CARD_MM = (125.0, 30.0)
BAR_MM = (7.0, 3.6, 107.0, 9.2)
PATCHES = (
    (243, 243, 240),
    (200, 200, 198),
    (160, 160, 158),
    (121, 121, 120),
    (82, 82, 82),
    (48, 48, 49),
    (166, 60, 52),
    (74, 128, 72),
    (52, 80, 148),
    (222, 182, 48),
)
FINE = 2
CARD_EDGE = 0.035


def sans(pixels: float) -> ImageFont.FreeTypeFont:
    """Return the sans of the house at a height in pixels."""
    return _font(font_source_sans_pro.font_files_ttf["SourceSansProSemibold"], round(pixels))


def serif(pixels: float, style: str = "SourceSerifPro") -> ImageFont.FreeTypeFont:
    """Return the serif of the house at a height in pixels."""
    return _font(font_source_serif_pro.font_files_ttf[style], round(pixels))


@lru_cache(maxsize=32)
def _font(path: str, pixels: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(Path(path), max(4, pixels))


def scale_card(ppm: float) -> Image.Image:
    """Return the card: a bar of ten centimetre steps with numbers, six greys, four colours."""
    unit = ppm * FINE
    picture = Image.new(
        "RGB", (round(CARD_MM[0] * unit), round(CARD_MM[1] * unit)), (236, 233, 226)
    )
    pen = ImageDraw.Draw(picture)
    left, top, right, bottom = (side * unit for side in BAR_MM)
    step = (right - left) / 10
    for k in range(10):
        tone = (22, 22, 24) if k % 2 == 0 else (250, 250, 247)
        pen.rectangle((left + k * step, top, left + (k + 1) * step, bottom), fill=tone)
    pen.rectangle(
        (left, top, right, bottom), outline=(22, 22, 24), width=max(1, round(0.25 * unit))
    )
    face = sans(5.4 * unit)
    for number in range(0, 101, 20):
        place = (left + number / 10 * step, bottom + 0.8 * unit)
        pen.text(place, str(number), (24, 24, 26), font=face, anchor="ma")
    pen.text((right + 6 * unit, bottom + 0.8 * unit), "mm", (24, 24, 26), font=face)
    for k, tone in enumerate(PATCHES):
        x = left + k * step
        pen.rectangle((x, 18 * unit, x + step - 0.4 * unit, 26.6 * unit), fill=tone)
    return picture.resize((picture.width // FINE, picture.height // FINE), Image.Resampling.BOX)


def lay_card(stage: Stage, corner: str) -> Region:
    """Lay the card in a corner of the finished picture: "tl", "tr", "bl" or "br"."""
    picture = np.asarray(scale_card(stage.ppm), dtype=np.float32) / 255.0
    height = min(picture.shape[0], stage.height)
    width = min(picture.shape[1], stage.width)
    edge = (MARGIN + CARD_EDGE) / (1 + 2 * MARGIN)
    x, y = round(edge * stage.width), round(edge * stage.height)
    x = stage.width - width - x if corner[1] == "r" else x
    y = stage.height - height - y if corner[0] == "b" else y
    x, y = max(0, x), max(0, y)
    region = Region(x, y, np.ones((height, width), np.float32))
    stage.shadow(region, 1.1, 0.55)
    uneven = 1.0 + 0.008 * field((height, width), (2, 2), stage.fresh())
    face = picture[:height, :width] * stage.edge(region, 0.5, 0.12)[..., None] * uneven[..., None]
    stage.lay(region, face * np.asarray((0.985, 0.975, 0.945), dtype=np.float32))
    return region


def printed_label(ppm: float, size_mm: tuple[float, float], lines: tuple[str, ...]) -> np.ndarray:
    """Return how much ink lies on a label: two rules round it and centred lines of type.

    The last line is larger in spacing than in type, as the year of a printed label, filled
    in by hand with a pen, used to be.
    """
    unit = ppm * FINE
    picture = Image.new("L", (round(size_mm[0] * unit), round(size_mm[1] * unit)))
    pen = ImageDraw.Draw(picture)
    wide, tall = picture.size
    for margin, weight in ((1.6, 0.5), (2.7, 0.2)):
        m = margin * unit
        pen.rectangle((m, m, wide - m, tall - m), outline=255, width=max(1, round(weight * unit)))
    step = (tall - 9 * unit) / len(lines)
    for k, line in enumerate(lines):
        last = k == len(lines) - 1
        style = "SourceSerifProIt" if last else "SourceSerifPro"
        share = 0.74 if k == 0 or last else 0.60
        face = serif(step * share, style)
        room = 0.84 * wide / max(face.getlength(line), 1)
        face = serif(step * share * min(1.0, room), style)
        place = (wide / 2, 4.5 * unit + (k + 0.5) * step)
        pen.text(place, line, 255, font=face, anchor="mm")
    small = picture.resize((wide // FINE, tall // FINE), Image.Resampling.BOX)
    return np.asarray(small, dtype=np.float32) / 255.0
