"""The keybox with its lid open: key shanks, the two chanterelles, and the tangents beside them."""

from dataclasses import replace

import numpy as np

from repairs.demo.pictures import marks, parts
from repairs.demo.pictures.anatomy import (
    ACCIDENTALS,
    BOX_BOTTOM,
    BOX_LEFT,
    BOX_RIGHT,
    BOX_TOP,
    CHANTERS_Y,
    NATURALS,
    NUT_X,
    VIELLE,
    WHEEL_X,
    Anatomy,
    tangent_x,
)
from repairs.demo.pictures.keybox_view import draw_keys
from repairs.demo.pictures.shapes import box, oval, ribbon, turned
from repairs.demo.pictures.stage import Make, Stage
from repairs.demo.pictures.wheel_fiddle import DRONES
from repairs.demo.pictures.wood import (
    bare_spruce,
    boxwood,
    brass,
    maple,
    pear,
    spruce,
    toned,
    walnut,
)

LOOSE, WORN_SHANK = 9, 4
GAP_MM = 2.1
LOOSE_AT = (tangent_x(LOOSE), CHANTERS_Y[0] + GAP_MM + 0.6)
WORN_AT = (tangent_x(WORN_SHANK), BOX_BOTTOM - 9.0)
KEYBOX_SPOTS = {
    "loose_tangent": ("point", (LOOSE_AT,)),
    "worn_shank": ("point", (WORN_AT,)),
    "dust_in_keybox": ("polygon", ((330.0, 12.0), (400.0, 12.0), (400.0, 26.0), (330.0, 26.0))),
    "nut": ("line", ((NUT_X, -12.0), (NUT_X, 12.0))),
    "tangent_row": (
        "line",
        ((tangent_x(1), CHANTERS_Y[0] + GAP_MM), (tangent_x(23), CHANTERS_Y[0] + GAP_MM)),
    ),
}


def draw_keybox(stage: Stage) -> None:
    """Draw the open keybox of the guitar-bodied fiddle from above."""
    _surroundings(stage, VIELLE)
    _lid(stage)
    _trough(stage)
    for steps, raised in ((NATURALS, False), (ACCIDENTALS, True)):
        for n in steps:
            _key(stage, n, raised)
    _dust(stage)
    stage.solid(
        replace(parts.BONE, along="y", lift_mm=3.0), box(NUT_X - 3, -15, NUT_X + 3, 15, 1.0)
    )
    for n in range(1, 24):
        for y in CHANTERS_Y:
            _tangent_foot(stage, n, y)
    for y, gauge in zip(CHANTERS_Y, (0.95, 0.85), strict=True):
        parts.string(stage, [(132, y), (WHEEL_X - 20, y)], gauge, lift_mm=5.0)
    for n in range(1, 24):
        for row, y in enumerate(CHANTERS_Y):
            _flag(stage, n, row, y)


def _surroundings(stage: Stage, anatomy: Anatomy) -> None:
    """Lay what the camera catches beside the box: body, pegbox end, wheel cover, drones."""
    table = stage.solid(Make(spruce, bevel_mm=2.6, lift_mm=24.0, shadow=0.6), anatomy.outline)
    marks.grime(stage, table, 0.14)
    parts.purfling(stage, anatomy.outline, edge_mm=2.2, wide_mm=4.6)
    wood = Make(walnut, bevel_mm=2.4, lift_mm=10.0, relief=0.7)
    stage.solid(wood, [(60, -21), (136, -27), (136, 27), (60, 21)])
    cover = box(WHEEL_X - 21, -76, WHEEL_X + 21, 76, 2.0)
    region = stage.region(cover)
    _, y = stage.grid(region)
    y = y * stage.shaded
    light = (0.62 + 0.48 * np.sqrt(np.clip(1 - (y / 80) ** 2, 0, 1)) - 0.2 * y / 80).astype(
        np.float32
    )
    stage.solid(Make(maple, along="y", bevel_mm=1.6, lift_mm=10.0), cover, light=light)
    stage.stroke([(WHEEL_X - 18, -75), (WHEEL_X - 18, 75)], 3.2, parts.INK, 0.85)
    stage.solid(replace(wood, along="y", lift_mm=8.0), box(125, -62, 137, 62, 4.0))
    draw_keys(stage)
    for y_mm, gauge, tone in DRONES:
        parts.string(stage, [(131, y_mm), (WHEEL_X - 20, y_mm)], gauge, tone=tone, lift_mm=7.0)


def _lid(stage: Stage) -> None:
    """Fold the lid back on its hinges: its bare inside, browner where the light never came."""
    make = Make(pear, bevel_mm=1.8, lift_mm=13.0, relief=0.6, tint=(1.12, 1.08, 1.0))
    lid = stage.solid(make, box(150, -116, 420, BOX_TOP - 3, 2.0))
    marks.grime(stage, lid, 0.16)
    stage.glow((285, -84), (100, 18), 0.14)
    for x in (190.0, 285.0, 380.0):
        stage.solid(
            Make(boxwood, along="y", bevel_mm=1.0, lift_mm=1.6, tint=(0.9, 0.82, 0.74)),
            box(x - 5, -111, x + 5, -46, 1.0),
        )
    for x in (236.0, 394.0):
        leaf = box(x - 8, BOX_TOP - 10, x + 8, BOX_TOP + 4, 1.0)
        stage.solid(Make(brass, bevel_mm=0.8, lift_mm=1.0), leaf)
        for a in (-5.0, 5.0):
            stage.dot((x + a, BOX_TOP - 6.5), 1.0, (0.30, 0.24, 0.12))


def _trough(stage: Stage) -> None:
    """Build the box without its lid: walls, and a floor in their shadow."""
    wall = Make(walnut, bevel_mm=1.6, lift_mm=11.0, relief=0.7)
    stage.solid(wall, box(BOX_LEFT, BOX_TOP, BOX_RIGHT, BOX_BOTTOM, 1.5))
    inner = box(BOX_LEFT + 5, BOX_TOP + 5, BOX_RIGHT - 4, BOX_BOTTOM - 5)
    floor = stage.region(inner)
    if floor.mask.size:
        colours = stage.texture(floor, bare_spruce) * toned(0.66, 0.60, 0.53)
        stage.lay(floor, colours * (2.0 - stage.edge(floor, 16.0, 1.5))[..., None])
    marks.grime(stage, floor, 0.2)


def _key(stage: Stage, n: int, raised: bool) -> None:
    """Slide one key's shank through both walls, under the strings."""
    x = tangent_x(n)
    wide = min(6.0, 0.72 * (tangent_x(n + 1) - x) + 1.2)
    tone = 0.96 if raised else 0.80
    make = Make(
        boxwood,
        along="y",
        bevel_mm=1.3,
        lift_mm=4.5 if raised else 2.6,
        relief=0.7,
        tint=(tone, tone * 0.96, tone * 0.90),
    )
    for top, bottom in ((BOX_TOP - 1.0, BOX_TOP + 5.4), (BOX_BOTTOM - 5.4, BOX_BOTTOM + 0.3)):
        parts.hole(stage, box(x - wide / 2 - 0.5, top, x + wide / 2 + 0.5, bottom), thick_mm=1.0)
    stage.solid(make, box(x - wide / 2, BOX_TOP + 0.5, x + wide / 2, BOX_BOTTOM + 0.5, 0.8))
    if n == WORN_SHANK and not stage.is_mended("worn_shank"):
        rub = box(x - wide / 2 - 0.2, WORN_AT[1] - 5.0, x + wide / 2 + 0.2, WORN_AT[1] + 5.0, 1.0)
        stage.shade(stage.region(rub), 0.74)
        stage.glow((x, WORN_AT[1]), (2.4, 3.6), 0.55)


def _tangent_foot(stage: Stage, n: int, y: float) -> None:
    """Set the round foot of a tangent in its shank."""
    foot = oval((tangent_x(n), y + GAP_MM + 0.6), (2.0, 2.0))
    stage.solid(Make(boxwood, bevel_mm=0.9, lift_mm=0.8, relief=0.9, tint=(0.72, 0.60, 0.48)), foot)


def _flag(stage: Stage, n: int, row: int, y: float) -> None:
    """Stand the flag of a tangent: a thin blade beside its string, turned a little to tune it.

    One of them is loose: it has twisted on its foot and leans over.
    """
    x = tangent_x(n)
    tilt = 7.0 * np.sin(n * 2.3 + row * 1.1)
    place = (x, y + GAP_MM)
    long, loose = 3.6, n == LOOSE and row == 0 and not stage.is_mended("loose_tangent")
    if loose:
        tilt, place, long = 47.0, (x + 0.8, y + GAP_MM + 1.4), 4.4
    blade = turned(
        box(place[0] - long, place[1] - 0.85, place[0] + long, place[1] + 0.85, 0.5), tilt, place
    )
    stage.solid(Make(boxwood, bevel_mm=0.8, lift_mm=4.0 if loose else 2.8, relief=1.0), blade)
    if loose:
        ridge = turned(
            ribbon([(x - 3.4, place[1] - 1.1), (x + 3.4, place[1] - 1.1)], 0.7), tilt, place
        )
        stage.lay(stage.region(ridge), (0.92, 0.80, 0.57), 0.8)


def _dust(stage: Stage) -> None:
    """Leave grey dust on the floor and shanks towards the wheel."""
    if not stage.mended:
        for centre, radii in (((366, 19), (44, 9)), ((400, -6), (18, 24)), ((408, 8), (16, 18))):
            marks.rosin_dust(stage, centre, radii)
