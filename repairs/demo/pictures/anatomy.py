"""Where things are on a wheel fiddle, in millimetres from the tip of the head along its axis.

Across, y grows from the axis towards the keys. The instrument is right-handed: the crank is in
the right hand and the keys lie away from the player. With the head on the left they are seen
above, with the head up on the right, so every view from above is taken by a flipped frame. What is
seen from behind is drawn with y the other way round, and taken alike.
"""

from dataclasses import dataclass

import numpy as np

from repairs.demo.pictures.shapes import Outline, curve, mirrored
from repairs.demo.pictures.wood import Surface, spruce

NUT_X = 140.0
SCALE_MM = 345.0
BRIDGE_X = NUT_X + SCALE_MM
BOX_LEFT, BOX_RIGHT = 134.0, 424.0
BOX_TOP, BOX_BOTTOM = -38.0, 36.0
WHEEL_X = 449.0
BODY_LEFT, BODY_RIGHT = 268.0, 648.0
NATURALS = (2, 4, 5, 7, 9, 10, 12, 14, 16, 17, 19, 21, 22)
ACCIDENTALS = (1, 3, 6, 8, 11, 13, 15, 18, 20, 23)
CHANTERS_Y = (-6.0, 6.0)

GUITAR_HALF = (
    (268, 0),
    (268, 22),
    (269.5, 52),
    (277, 76),
    (294, 94),
    (322, 102),
    (352, 98),
    (384, 87),
    (412, 80.5),
    (438, 80.5),
    (466, 92),
    (500, 113),
    (542, 127),
    (586, 124),
    (620, 104),
    (640, 70),
    (647, 34),
    (648, 0),
)
PEAR_HALF = (
    (262, 0),
    (262, 30),
    (268, 50),
    (290, 66),
    (330, 84),
    (380, 102),
    (430, 118),
    (480, 129),
    (530, 133),
    (580, 125),
    (618, 103),
    (640, 68),
    (647.5, 32),
    (648, 0),
)


@dataclass(frozen=True)
class Anatomy:
    """What differs between one wheel fiddle and another, seen from above."""

    outline: Outline
    table: Surface
    holes: str
    lost_edge: tuple[float, float] | None = None
    rubbed: bool = False


def tangent_x(semitones: int) -> float:
    """Return where the tangent stands that raises the string by `semitones`."""
    return NUT_X + SCALE_MM * (1.0 - 2.0 ** (-semitones / 12.0))


def body(half: tuple[tuple[float, float], ...]) -> Outline:
    """Return the smooth closed outline of a body from one half of it."""
    return mirrored(curve(half, steps=14))


def half_width(half: tuple[tuple[float, float], ...], x: np.ndarray) -> np.ndarray:
    """Return the body's half width at places along the axis."""
    line = curve(half, steps=14)
    return np.interp(x, line[:, 0], line[:, 1])


LOST_EDGE = (586.0, 121.0)
VIELLE = Anatomy(body(GUITAR_HALF), spruce, "crescents", lost_edge=LOST_EDGE, rubbed=True)
LUTEBACK = Anatomy(body(PEAR_HALF), spruce, "rose")
