"""A wheel fiddle of the French type seen from the front, and the close views of its front."""

from dataclasses import replace

import numpy as np

from repairs.demo.pictures import marks, parts
from repairs.demo.pictures.anatomy import (
    BOX_BOTTOM,
    BRIDGE_X,
    CHANTERS_Y,
    LOST_EDGE,
    LUTEBACK,
    VIELLE,
    WHEEL_X,
    Anatomy,
    tangent_x,
)
from repairs.demo.pictures.keybox_view import STUCK_KEY, draw_keys, keybox, lozenge
from repairs.demo.pictures.shapes import box, curve, inset, mirrored, oval, ribbon
from repairs.demo.pictures.stage import Make, Region, Stage
from repairs.demo.pictures.wood import boxwood, maple, walnut

CRACK = ((497.0, 78.0), (540.0, 79.0), (592.0, 77.5))
WORN_EDGE = ((306.0, -80.0), (20.0, 11.0))
PEG_CRACK = ((88.0, 45.0), (88.6, 55.0))
FRONT_SPOTS = {
    "crack_soundboard": ("line", CRACK),
    "lost_edging": ("point", ((LOST_EDGE[0] - 1.2, LOST_EDGE[1] - 2.6),)),
    "worn_varnish": (
        "polygon",
        (
            (286.0, -84.0),
            (306.0, -91.0),
            (326.0, -87.0),
            (326.0, -73.0),
            (306.0, -69.0),
            (288.0, -73.0),
        ),
    ),
    "rosin_dust": ("polygon", ((425.0, -66.0), (472.0, -66.0), (472.0, -48.0), (425.0, -48.0))),
    "stuck_key": ("point", ((tangent_x(STUCK_KEY), BOX_BOTTOM + 17.0),)),
    "crank_knob": ("point", ((706.0, 62.0),)),
    "wheel_cover": ("point", ((449.0, 0.0),)),
    "dog": ("point", ((497.0, -50.0),)),
    "tailpiece": ("point", ((560.0, 0.0),)),
    "cracked_peg": ("line", PEG_CRACK),
    "nut": ("line", ((134.0, -58.0), (134.0, 56.0))),
}
DRONES = (
    (-50.0, 1.0, parts.GUT),
    (-59.0, 1.3, parts.GUT),
    (46.0, 1.9, parts.WOUND),
    (54.0, 3.0, parts.WOUND),
)


def draw_vielle(stage: Stage) -> None:
    """Draw the guitar-bodied fiddle from the front."""
    _draw_front(stage, VIELLE)


def draw_luteback(stage: Stage) -> None:
    """Draw the lute-backed fiddle from the front."""
    _draw_front(stage, LUTEBACK)


def _draw_front(stage: Stage, anatomy: Anatomy) -> None:
    _pegbox(stage)
    parts.crank(stage, (640.0, 0.0), 0.0)
    _table(stage, anatomy)
    draw_keys(stage)
    keybox(stage)
    _drones(stage)
    _tail(stage)
    _bridges(stage)
    _wheel_cover(stage)
    marks.crack(stage, CRACK, 0.9, name="crack_soundboard")
    marks.scratches(stage, (500, 60, 590, 92), 14)


def _table(stage: Stage, anatomy: Anatomy) -> Region:
    """Lay the body: the soundboard with its edging, openings, wear and dust."""
    make = Make(anatomy.table, bevel_mm=2.6, lift_mm=26.0, relief=0.5, shadow=0.62)
    region = stage.solid(make, anatomy.outline)
    arch = stage.edge(region, 70.0, 0.32)
    stage.shade(region, arch)
    marks.grime(stage, region, 0.13)
    stage.glow((345, -60), (70, 26), 0.16)
    stage.glow((560, -70), (60, 40), 0.17)
    stage.glow((480, 0), (120, 70), -0.18)
    parts.purfling(stage, anatomy.outline, edge_mm=2.2, wide_mm=4.6, lost=anatomy.lost_edge)
    for shift, tone in ((9.0, 0.6), (10.6, 0.5)):
        line = inset(anatomy.outline, shift)
        stage.stroke(np.concatenate((line, line[:1])), 0.6, parts.INK, tone)
    _openings(stage, anatomy)
    if anatomy.rubbed:
        marks.worn(stage, *WORN_EDGE, 0.75)
        marks.scratches(stage, (295, -84, 370, -68), 9)
    marks.worn(stage, (610, 74), (16, 14), 0.5)
    marks.rosin_dust(stage, (WHEEL_X, 0), (34, 60))
    return region


def _openings(stage: Stage, anatomy: Anatomy) -> None:
    if anatomy.holes == "rose":
        for y in (-72.0, 74.0):
            _rose(stage, (360.0, 62.0 * np.sign(y)), 13.0)
        return
    for side in (-1, 1):
        spine = curve([(352, 64 * side), (344, 69 * side), (344, 77 * side), (354, 82 * side)])
        wide = np.interp(np.linspace(0, 1, len(spine)), [0, 0.5, 1], [1.5, 6.5, 1.5])
        parts.hole(stage, ribbon(spine, wide))
        for place in ((352.8, 63.6 * side), (354.8, 82.4 * side)):
            parts.hole(stage, oval(place, (2.2, 2.2)), thick_mm=1.6)


def _rose(stage: Stage, centre: tuple[float, float], radius: float) -> None:
    """Cut a rose: a ring of bone round petals pierced through the table."""
    stage.solid(
        replace(parts.BONE, lift_mm=0.4),
        oval(centre, (radius + 2.4,) * 2),
        holes=[oval(centre, (radius + 0.8,) * 2)],
    )
    for k in range(6):
        angle = k * np.pi / 3
        place = (
            centre[0] + 0.58 * radius * np.cos(angle),
            centre[1] + 0.58 * radius * np.sin(angle),
        )
        parts.hole(
            stage, oval(place, (radius * 0.36, radius * 0.22), -np.degrees(angle)), thick_mm=1.4
        )
    parts.hole(stage, oval(centre, (radius * 0.16,) * 2), thick_mm=1.0)


def _pegbox(stage: Stage) -> None:
    """Build the head: cheeks round an open trough, six pegs across it, a carved flower."""
    for x in (62.0, 88.0, 114.0):
        parts.peg(stage, (x, 23.0), 1.0)
        parts.peg(stage, (x - 12.0, -23.0), -1.0)
    marks.crack(stage, PEG_CRACK, 0.4, name="cracked_peg")
    make = Make(walnut, bevel_mm=2.4, lift_mm=14.0, relief=0.7)
    upper = [(28, -15), (38, -20), (60, -22), (120, -25), (136, -27)]
    cheeks = mirrored(upper)
    region = stage.solid(make, cheeks)
    marks.grime(stage, region, 0.12)
    trough = box(44, -14, 130, 14, 5.0)
    inside = parts.hole(stage, trough, thick_mm=4.0)
    stage.lay(inside, stage.texture(inside, walnut) * np.float32(0.36), 0.7)
    for edge in (-18.5, 18.5):
        stage.stroke([(42, edge * 0.92), (132, edge * 1.18)], 0.5, (0.85, 0.77, 0.6), 0.55)
    _yoke(stage)
    _wound_strings(stage)
    parts.rosette(stage, (24.0, 0.0), 23.0)


def _yoke(stage: Stage) -> None:
    """Lay the winged block at the nut, wide enough to carry the drones past the box."""
    wing = [(128, 0), (127, 24), (125, 44), (129, 61), (136, 63), (138, 50), (138, 0)]
    wood = Make(walnut, along="y", bevel_mm=2.4, lift_mm=9.0, relief=0.8)
    stage.solid(wood, mirrored(curve(wing, steps=6)))
    stage.solid(replace(parts.BONE, along="y"), box(132, -62, 136, 60, 1.0))


def _wound_strings(stage: Stage) -> None:
    """Wind the strings on the shanks in the trough and lead them to the nut."""
    rows = (
        (50, -6, parts.GUT, 1.1, -50),
        (76, -4, parts.GUT, 0.9, -6),
        (102, -7, parts.GUT, 1.2, -59),
        (62, 6, parts.WOUND, 2.0, 46),
        (88, 3, parts.GUT, 0.9, 6),
        (114, 7, parts.WOUND, 2.8, 54),
    )
    for x, *_ in rows:
        shank = box(x - 3.2, -14, x + 3.2, 14)
        stage.solid(replace(parts.PEG, bevel_mm=4.0, lift_mm=2.5), shank)
    for x, y, tone, gauge, end in rows:
        for turn in range(5):
            place = y - 2.5 * gauge + turn * gauge * 1.15
            bow = [(x - 3.5, place - 0.3), (x, place + 0.2), (x + 3.5, place + 0.5)]
            parts.string(stage, bow, gauge, tone=tone, lift_mm=0.5)
        leave = (x + 3.0, y + 2.4 * gauge)
        parts.string(stage, [leave, (134.5, end)], gauge, tone=tone, lift_mm=3.0)


def _drones(stage: Stage) -> None:
    """Stretch the four drones outside the box, over their side nuts."""
    block = Make(boxwood, bevel_mm=1.4, lift_mm=4.0, tint=(0.72, 0.58, 0.48))
    stage.solid(block, box(262, -64, 270, -40, 1.2))
    stage.solid(block, box(262, 38, 270, 60, 1.2))
    for y, gauge, tone in DRONES:
        parts.string(stage, [(133, y), (266, y)], gauge, tone=tone, lift_mm=7.0)
        parts.string(stage, [(266, y), (526, y * 1.02)], gauge, tone=tone, lift_mm=8.0)


def _tail(stage: Stage) -> None:
    """Lay the tailpiece with its inlay, the tirant's peg and the strings' knots."""
    make = Make(walnut, bevel_mm=2.4, lift_mm=6.0, relief=0.9, tint=(0.62, 0.58, 0.56))
    shape = curve([(520, -15), (530, -19), (580, -25), (628, -30), (640, -20), (641, 0)], steps=8)
    stage.solid(make, mirrored(shape))
    stage.glow((580, -10), (40, 7), 0.5)
    line = [(530, -13), (624, -22), (632, -14), (632, 14), (624, 22), (530, 13), (530, -13)]
    stage.stroke(line, 0.8, (0.88, 0.80, 0.62), 0.85)
    lozenge(stage, (592.0, 0.0), 13.0)
    for y in CHANTERS_Y:
        parts.hole(stage, oval((534, y), (1.7, 1.7)), thick_mm=0.8)
        parts.string(stage, [(BRIDGE_X, y), (534, y)], 0.8, lift_mm=5.0)
    tirant = [(497, -50), (520, -44), (548, -20)]
    parts.string(stage, tirant, 0.6, tone=(0.80, 0.72, 0.58), lift_mm=2.0)
    stage.solid(replace(parts.PEG, lift_mm=5.0), oval((550, -18), (5.2, 5.2)))
    stage.solid(replace(parts.BONE, lift_mm=1.0), oval((550, -18), (2.0, 2.0)))
    for y, _, _ in DRONES:
        stage.solid(replace(parts.EBONY, lift_mm=2.5), oval((528, y * 1.02), (3.4, 3.0)))


def _bridges(stage: Stage) -> None:
    """Stand the main bridge and the four small ones, seen from above."""
    make = Make(boxwood, along="y", bevel_mm=2.0, lift_mm=9.0, relief=0.8, tint=(0.86, 0.74, 0.62))
    stage.solid(make, box(BRIDGE_X - 6.5, -31, BRIDGE_X + 6.5, 31, 3.0))
    stage.solid(
        replace(make, lift_mm=2.0, tint=(1.1, 1.1, 1.05)),
        box(BRIDGE_X - 2, -20, BRIDGE_X + 2, 20, 1.2),
    )
    plate = replace(parts.BONE, lift_mm=0.5, tint=(0.95, 0.92, 0.86))
    stage.solid(plate, box(488, -58, 505, -43, 1.5))
    dog = curve(
        [(489, -47), (494, -54), (501, -54.5), (504, -50), (499, -46)], closed=True, steps=6
    )
    stage.solid(replace(make, lift_mm=3.5, tint=(0.55, 0.42, 0.34)), dog)
    for x, y in ((508.0, -60.0), (500.0, 47.0), (510.0, 55.0)):
        stage.solid(replace(make, lift_mm=5.0), box(x - 3.0, y - 6.5, x + 3.0, y + 6.5, 1.6))
    for y in CHANTERS_Y:
        parts.string(stage, [(BRIDGE_X - 14, y), (BRIDGE_X + 4, y)], 0.8, lift_mm=1.5)
    for (y, gauge, tone), x in zip(DRONES, (497.0, 508.0, 500.0, 510.0), strict=True):
        parts.string(stage, [(x - 9, y * 1.018), (x + 6, y * 1.019)], gauge, tone=tone, lift_mm=1.0)


def _wheel_cover(stage: Stage) -> None:
    """Arch the cover over the wheel: a bent board, lit like a barrel, with edging and stars."""
    left, right = WHEEL_X - 21.0, WHEEL_X + 21.0
    make = Make(maple, along="y", bevel_mm=1.6, lift_mm=11.0, relief=0.6)
    region = stage.region(box(left, -76, right, 76, 2.0))
    _, y = stage.grid(region)
    y = y * stage.shaded
    bend = np.clip(y / 80.0, -1.0, 1.0)
    side = -1.0 if not stage.frame.turned else -0.75
    light = 0.58 + 0.52 * np.sqrt(1.0 - bend**2) + 0.22 * side * bend
    gloss = 0.38 * np.exp(-(((y + 26.0) / 9.0) ** 2)) + 0.10 * np.exp(-(((y + 18.0) / 26.0) ** 2))
    stage.solid(make, box(left, -76, right, 76, 2.0), light=(light + gloss).astype(np.float32))
    for x in (left + 3.0, right - 3.0):
        stage.stroke([(x, -75), (x, 75)], 3.2, parts.INK, 0.85)
        blocks = [box(x - 1.1, k * 5.0, x + 1.1, k * 5.0 + 2.5) for k in range(-15, 15)]
        stage.lay(stage.region(*blocks), (0.86, 0.79, 0.64), 0.9)
    for y_mm, reach in ((-44.0, 10.0), (0.0, 14.0), (44.0, 10.0)):
        lozenge(stage, (WHEEL_X, y_mm), reach)
