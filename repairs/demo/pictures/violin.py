"""A violin from the front and from behind; close by, the soundpost through its hole.

x runs from the scroll (0) to the end button (590) along the axis, y across.
"""

from dataclasses import replace
from functools import partial

import numpy as np

from repairs.demo.pictures import marks, parts
from repairs.demo.pictures.shapes import Outline, box, curve, mirrored, oval, ribbon
from repairs.demo.pictures.stage import Make, Region, Stage
from repairs.demo.pictures.wood import Surface, book_matched, boxwood, ebony, maple, spruce

BODY_X = 232.0
BRIDGE_X = BODY_X + 195.0
UPPER = (
    (0, 0),
    (0.5, 20),
    (6, 45),
    (20, 66),
    (45, 80),
    (70, 84),
    (95, 81),
    (120, 75),
    (136, 73),
    (143, 78),
)
WAIST = ((146, 75.5), (154, 66), (170, 58), (192, 55.5), (212, 60), (226, 72), (232, 88))
LOWER = (
    (236, 90),
    (242, 87),
    (254, 93),
    (272, 101),
    (290, 104),
    (312, 101),
    (335, 86),
    (348, 62),
    (354, 30),
    (355.5, 0),
)
STRINGS = ((-16.5, 0.7), (-5.5, 0.8), (5.5, 0.9), (16.5, 1.0))

varnished_spruce: Surface = partial(
    spruce, early=(0.76, 0.45, 0.18), late=(0.47, 0.22, 0.08), ring_mm=1.1
)
varnished_maple: Surface = partial(
    maple, light=(0.71, 0.37, 0.14), dark=(0.33, 0.12, 0.05), flame=1.15
)

POST_CRACK = ((405.0, -27.0), (440.0, -26.0), (492.0, -26.5))
FRONT_SPOTS = {
    "soundpost_crack": ("line", POST_CRACK),
    "worn_varnish": (
        "polygon",
        ((250.0, -72.0), (284.0, -80.0), (300.0, -66.0), (284.0, -50.0), (256.0, -52.0)),
    ),
    "soundpost": ("point", ((433.0, -38.5),)),
    "bridge": ("point", ((BRIDGE_X, 0.0),)),
    "chipped_edge": ("point", ((BODY_X + 235.0, 88.5),)),
}
BUTTON_CRACK = ((233.0, -8.0), (239.0, 0.0), (233.5, 9.0))
BACK_SPOTS = {
    "button_crack": ("line", BUTTON_CRACK),
    "worn_back": (
        "polygon",
        ((300.0, 30.0), (345.0, 34.0), (352.0, 56.0), (318.0, 66.0), (292.0, 52.0)),
    ),
    "open_centre_joint": ("line", ((540.0, 0.4), (586.0, 0.0))),
}


def outline() -> Outline:
    """Return the violin's outline: three curves a side that meet in corners."""
    half = np.concatenate([curve(piece, steps=10) for piece in (UPPER, WAIST, LOWER)])
    return mirrored(half) + np.array((BODY_X, 0.0))


def f_hole(side: int) -> tuple[Outline, Outline, Outline]:
    """Return stem, upper and lower eye of one sound hole, `side` -1 or +1."""
    spine = [
        (398, 22),
        (394, 26),
        (396, 31),
        (410, 33),
        (426, 36.5),
        (442, 41),
        (456, 44),
        (466, 48),
        (468, 54),
        (462, 58),
    ]
    line = curve([(x, y * side) for x, y in spine], steps=8)
    share = np.linspace(0, 1, len(line))
    wide = 1.4 + 4.2 * np.exp(-(((share - 0.5) / 0.26) ** 2))
    return (
        ribbon(line, wide),
        oval((400, 22.5 * side), (3.0, 3.0)),
        oval((460.5, 56 * side), (4.4, 4.4)),
    )


def draw_front(stage: Stage) -> None:
    """Draw the violin from the front."""
    _head_from_front(stage)
    make = Make(varnished_spruce, bevel_mm=3.0, lift_mm=20.0, relief=0.6, shadow=0.6)
    region = stage.solid(make, outline())
    _arched(stage, region)
    parts.inlaid_line(stage, outline(), edge_mm=4.0)
    for side in (-1, 1):
        for piece in f_hole(side):
            parts.hole(stage, piece, thick_mm=2.4)
    _post(stage)
    marks.worn(stage, (275, -66), (24, 13), 0.7)
    marks.worn(stage, (BRIDGE_X + 6, -70), (22, 10), 0.35)
    marks.rosin_dust(stage, (BRIDGE_X - 38, 0), (20, 34))
    marks.crack(stage, POST_CRACK, 0.7)
    marks.chipped(
        stage, [(BODY_X + 231, 91), (BODY_X + 238, 93), (BODY_X + 239, 87.6), (BODY_X + 233.5, 87)]
    )
    marks.scratches(stage, (500, -70, 550, 60), 12)
    _fittings(stage)


def _arched(stage: Stage, region: Region) -> None:
    """Swell a plate: light climbs to the lamp's side of the arching, and pools in the channel."""
    stage.shade(region, stage.edge(region, 42.0, 0.62))
    stage.shade(region, stage.edge(region, 10.0, 0.22))
    marks.grime(stage, region, 0.10)
    stage.glow((300, -36), (44, 12), 0.30)
    stage.glow((520, -48), (44, 16), 0.32)


def _post(stage: Stage) -> None:
    """Let the soundpost be seen through the treble hole."""
    stem, _, _ = f_hole(-1)
    hole = stage.region(stem)
    if not hole.mask.size:
        return
    x, _ = stage.grid(hole)
    inside = np.exp(-((((x - 433.0) / 3.0) ** 2) ** 2)) * (0.75 - 0.25 * np.tanh((x - 432) / 2.0))
    stage.lay(
        Region(hole.x, hole.y, (hole.mask * inside).astype(np.float32)), (0.62, 0.48, 0.30), 0.85
    )


def _fittings(stage: Stage) -> None:
    """Lay fingerboard, bridge, tailpiece, end button and strings."""
    black = Make(ebony, bevel_mm=5.0, lift_mm=9.0, relief=1.5)
    stage.solid(replace(black, bevel_mm=3.0), box(580, -5, 593, 5, 4.0))
    stage.solid(black, [(102, -12), (372, -21.5), (374, -15), (374, 15), (372, 21.5), (102, 12)])
    stage.glow((240, -7), (120, 3.2), 0.9)
    half = curve(
        [(468, 0), (469, 18), (474, 22), (520, 16), (560, 11.5), (578, 9.5), (584, 6), (585, 0)],
        steps=6,
    )
    stage.solid(black, np.concatenate((half, (half * (1, -1))[::-1])))
    stage.glow((520, -6), (34, 3.5), 0.8)
    bridge = Make(
        boxwood, along="y", bevel_mm=1.4, lift_mm=9.0, relief=0.8, tint=(1.06, 0.98, 0.86)
    )
    stage.solid(bridge, box(BRIDGE_X - 2.4, -21, BRIDGE_X + 2.4, 21, 1.4))
    for foot in (-1, 1):
        stage.solid(
            bridge, box(BRIDGE_X - 2.8, 15 * foot - 5.5, BRIDGE_X + 2.8, 15 * foot + 5.5, 1.2)
        )
    stage.solid(replace(black, bevel_mm=1.5, lift_mm=3.0), box(99, -12.5, 104, 12.5, 1.0))
    for k, (y, gauge) in enumerate(STRINGS):
        nut = (k - 1.5) * 5.4
        tone = parts.WOUND if k else (0.86, 0.86, 0.84)
        parts.string(stage, [(101, nut), (BRIDGE_X, y)], gauge, tone=tone, lift_mm=7.0)
        parts.string(stage, [(BRIDGE_X, y), (477, y * 0.92)], gauge, tone=tone, lift_mm=5.0)
        stage.dot((478.5, y * 0.92), 1.5, (0.03, 0.03, 0.03))


def _violin_peg(stage: Stage, x: float, out: float) -> None:
    """Set one peg: shank through both cheeks, collar, round head."""
    make = Make(ebony, along="y", bevel_mm=3.0, lift_mm=5.0, relief=1.6)
    stage.solid(make, ribbon([(x, -14 * out), (x, 24 * out)], [4.0, 6.4]))
    stage.solid(make, ribbon([(x, 22 * out), (x, 25 * out)], [10.0, 9.0]))
    stage.solid(make, oval((x, 34 * out), (9.6, 10.5)))
    stage.dot((x, 44.4 * out), 1.3, (0.86, 0.80, 0.64))


def _head_from_front(stage: Stage) -> None:
    """Carve neck, pegbox and the two ears of the scroll."""
    for k, x in enumerate((38.0, 53.0, 70.0, 86.0)):
        _violin_peg(stage, x, 1.0 if k % 2 else -1.0)
    wood = Make(varnished_maple, bevel_mm=3.0, lift_mm=12.0, relief=0.8)
    cheeks = curve([(12, 0), (16, 8), (30, 9), (60, 10.5), (92, 12.5), (104, 12)], steps=6)
    stage.solid(wood, np.concatenate((cheeks, (cheeks * (1, -1))[::-1])))
    parts.hole(stage, mirrored([(28, 4.5), (98, 8)]), thick_mm=2.5)
    for x in (38.0, 53.0, 70.0, 86.0):
        stage.solid(
            Make(ebony, bevel_mm=1.6, lift_mm=1.5, relief=1.2), box(x - 2.4, -8, x + 2.4, 8)
        )
    for k, x in enumerate((86.0, 53.0, 38.0, 70.0)):
        side = (k - 1.5) * 5.4
        for turn in range(4):
            place = side * 0.5 + (turn - 1.5) * 0.9
            parts.string(
                stage,
                [(x - 2.6, place), (x + 2.6, place + 0.4)],
                0.7,
                tone=parts.WOUND,
                lift_mm=0.4,
            )
        parts.string(
            stage, [(x + 2, side * 0.5 + 1.6), (101, side)], 0.7, tone=parts.WOUND, lift_mm=2.0
        )
    for side in (-1, 1):
        stage.solid(replace(wood, lift_mm=5.0, bevel_mm=4.0), oval((17, 14.0 * side), (8.0, 7.0)))
        stage.solid(replace(wood, lift_mm=2.0, bevel_mm=2.0), oval((17, 18.0 * side), (3.4, 3.6)))
    stage.solid(replace(wood, lift_mm=3.0, bevel_mm=6.0), oval((13, 0), (13.0, 10.0)))


def draw_back(stage: Stage) -> None:
    """Draw the violin's back: two pieces of flamed maple, worn where the shoulder rubs."""
    _head_from_front_back(stage)
    surface = partial(book_matched, surface=varnished_maple)
    region = stage.solid(
        Make(surface, bevel_mm=3.0, lift_mm=20.0, relief=0.6, shadow=0.6), outline()
    )
    _arched(stage, region)
    parts.inlaid_line(stage, outline(), edge_mm=4.0)
    button = curve([(238, -12), (226, -11), (221, 0), (226, 11), (238, 12)], steps=8)
    stage.solid(Make(varnished_maple, bevel_mm=1.6, lift_mm=1.0, relief=0.6, shadow=0.3), button)
    stage.stroke([(222, 0), (586, 0)], 0.5, parts.INK, 0.55)
    marks.worn(stage, (322, 48), (30, 18), 0.8)
    marks.worn(stage, (500, -40), (26, 16), 0.4)
    marks.crack(stage, BACK_SPOTS["open_centre_joint"][1], 0.7)
    marks.crack(stage, BUTTON_CRACK, 0.6)
    marks.scratches(stage, (260, -44, 550, 36), 26)
    stage.solid(Make(ebony, bevel_mm=3.0, lift_mm=5.0, relief=1.5), box(586, -5, 594, 5, 3.0))


def _head_from_front_back(stage: Stage) -> None:
    for k, x in enumerate((38.0, 53.0, 70.0, 86.0)):
        _violin_peg(stage, x, -1.0 if k % 2 else 1.0)
    wood = Make(varnished_maple, bevel_mm=9.0, lift_mm=12.0, relief=1.0)
    half = curve(
        [(2, 0), (6, 10), (20, 12), (50, 10.5), (92, 14), (120, 12.5), (200, 14), (232, 15)],
        steps=6,
    )
    stage.solid(wood, np.concatenate((half, (half * (1, -1))[::-1])))
    for side in (-1, 1):
        stage.stroke(curve([(4, 4 * side), (40, 5 * side), (96, 8 * side)]), 1.2, parts.INK, 0.35)
        stage.solid(replace(wood, lift_mm=3.0, bevel_mm=3.0), oval((17, 14.0 * side), (7.5, 6.0)))
