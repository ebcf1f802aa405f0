"""A wheel fiddle on its back, seen from either side: ribs, keys or drones, crank, head.

Here y is height: 0 is the soundboard, upwards is negative. The player sees the side without
keys, head on the left; the side of the keys is drawn in the same millimetres and mirrored by the
camera, so that its head lies to the right.
"""

from dataclasses import replace

import numpy as np

from repairs.demo.pictures import marks, parts
from repairs.demo.pictures.anatomy import (
    ACCIDENTALS,
    BOX_LEFT,
    BOX_RIGHT,
    BRIDGE_X,
    GUITAR_HALF,
    NATURALS,
    PEAR_HALF,
    WHEEL_X,
    half_width,
    tangent_x,
)
from repairs.demo.pictures.shapes import box, curve
from repairs.demo.pictures.stage import Make, Stage
from repairs.demo.pictures.texture import Plane
from repairs.demo.pictures.wood import Surface, bone, boxwood, ebony, maple, pear, spruce, walnut

DEPTH = 66.0
RIB_CRACK = ((470.0, 38.0), (506.0, 37.0), (545.0, 39.0))
OPEN_SEAM = ((560.0, 62.6), (595.0, 62.8), (628.0, 62.5))
KEY_SPOTS = {
    "open_rib_seam": ("line", OPEN_SEAM),
    "rib_crack": ("line", RIB_CRACK),
    "keys": ("polygon", ((152.0, -40.0), (402.0, -40.0), (402.0, -6.0), (152.0, -6.0))),
    "crank": ("point", ((676.0, 8.0),)),
}
BOWL_SPOTS = {"keys": KEY_SPOTS["keys"], "crank": KEY_SPOTS["crank"]}
DRONE_SPOTS = {
    "rib_scratches": ("polygon", ((500.0, 14.0), (600.0, 14.0), (600.0, 52.0), (500.0, 52.0))),
    "dog": ("point", ((495.0, -15.0),)),
    "crank": ("point", ((676.0, 8.0),)),
}


def draw_key_side(stage: Stage) -> None:
    """Draw the side on which the keys stand."""
    _below(stage)
    _ribs(stage, GUITAR_HALF)
    marks.crack(stage, RIB_CRACK, 0.8)
    marks.crack(stage, OPEN_SEAM, 1.2)
    _above(stage)
    _key_heads(stage)
    for y, gauge in ((-53.0, 3.0), (-49.0, 1.9)):
        parts.string(
            stage, [(132, y), (266, y + 3), (502, y + 14)], gauge, tone=parts.WOUND, lift_mm=2.0
        )


def draw_drone_side(stage: Stage) -> None:
    """Draw the side of the trompette and the mouche."""
    _below(stage)
    _ribs(stage, GUITAR_HALF)
    marks.scratches(stage, (500, 14, 580, 40), 24)
    _above(stage)
    for y, gauge in ((-40.0, 1.2), (-46.0, 1.0)):
        parts.string(stage, [(132, y), (266, y + 5), (500, -19 + (y + 46))], gauge, lift_mm=2.0)
    dog = curve([(484, -1), (485, -14), (491, -20), (498, -19), (502, -10), (505, -1)], steps=5)
    stage.solid(Make(walnut, bevel_mm=2.5, lift_mm=2.0), dog)
    stage.solid(replace(parts.BONE, lift_mm=0.5), box(480, -2.4, 512, 0, 0.6))


def draw_bowl_side(stage: Stage) -> None:
    """Draw the lute-backed fiddle from the side of its keys: a bowl of staves under the table."""
    _below(stage)
    x = np.linspace(262, 648, 60)
    depth = 118.0 * (half_width(PEAR_HALF, x) / 133.0) ** 0.8
    whole = np.concatenate((np.stack((x, 0 * x), 1), np.stack((x, depth), 1)[::-1]))
    stage.shadow(stage.region(whole), 20.0, 0.45)
    for k in range(5):
        top, bottom = (np.sin(np.pi / 2 * s) ** 1.1 for s in (k / 5, (k + 1) / 5))
        light = 1.06 - 0.15 * k
        make = Make(
            maple if k % 2 else walnut,
            relief=0.3,
            shadow=0.0,
            tint=(light,) * 3 if k % 2 else (1.45 * light, 1.35 * light, 1.25 * light),
        )
        band = np.concatenate(
            (np.stack((x, depth * top), 1), np.stack((x, depth * bottom), 1)[::-1])
        )
        stage.solid(make, band)
        stage.stroke(np.stack((x, depth * bottom), 1), 1.2, parts.INK, 0.7)
    stage.shade(stage.region(whole), stage.edge(stage.region(whole), 20.0, 0.35))
    stage.glow((470, 26), (110, 7), 0.42)
    _edge_strip(stage, 0.0, spruce)
    _above(stage)
    _key_heads(stage)
    parts.string(stage, [(132, -52), (266, -48), (502, -38)], 3.0, tone=parts.WOUND, lift_mm=2.0)


def _below(stage: Stage) -> None:
    """Lay what stands behind and below: crank, neck, head with its pegs."""
    parts.crank(stage, (636.0, 24.0), 118.0, 64.0)
    neck = curve([(116, 2), (150, 20), (200, 27), (262, 40), (290, 44)], steps=8)
    make = Make(walnut, bevel_mm=9.0, lift_mm=12.0, relief=0.8)
    stage.solid(make, np.concatenate((neck, [(290, -2), (120, -30)])))
    head = curve(
        [
            (136, 8),
            (104, 16),
            (70, 21),
            (44, 16),
            (30, 2),
            (30, -18),
            (46, -28),
            (80, -30),
            (136, -42),
        ],
        steps=8,
    )
    stage.solid(replace(make, bevel_mm=3.0), head)
    stage.stroke(curve([(50, -22), (84, -24), (130, -34)]), 0.7, (0.85, 0.77, 0.6), 0.6)
    for k, x in enumerate((58.0, 77.0, 96.0, 115.0)):
        if k < 3:
            parts.peg_end(stage, (x + 6, -6.0 - 0.10 * (x - 58)))
    parts.volute(stage, (30.0, -14.0), 25.0, make=replace(make, bevel_mm=2.0, lift_mm=7.0))


def _ribs(stage: Stage, half: tuple[tuple[float, float], ...]) -> None:
    """Bend the ribs: flamed maple that is light where it faces the lamp, dark in the waist."""
    wall = box(268, 0, 648, DEPTH, 3.0)
    region = stage.region(wall)
    x, _ = stage.grid(region)
    stage.shadow(region, 22.0, 0.55)
    make = Make(maple, bevel_mm=1.2, relief=0.3, shadow=0.0)
    stage.solid(make, wall, light=_turning(half, x, stage.frame.mirrored))
    marks.grime(stage, region, 0.12)
    _edge_strip(stage, DEPTH - 4.0, maple)
    _edge_strip(stage, 0.0, spruce)


def _turning(half: tuple[tuple[float, float], ...], x: Plane, flipped: bool) -> Plane:
    """Return the light on ribs bent to the outline: the cosine between wall and lamp."""
    places = np.linspace(268, 648, 400)
    slope = np.gradient(half_width(half, places), places)
    slope = np.convolve(np.pad(slope, 12, mode="edge"), np.ones(25) / 25, mode="valid")
    lean = -1.0 if flipped else 1.0
    facing = (-slope * -0.55 * lean + 0.83) / np.sqrt(1 + slope**2)
    end = np.minimum(places - 268, 648 - places)
    light = (0.42 + 0.72 * np.clip(facing, 0, 1)) * (0.62 + 0.38 * np.clip(end / 26, 0, 1))
    return np.interp(x[0], places, light).astype(np.float32) * np.ones_like(x)


def _edge_strip(stage: Stage, top: float, surface: Surface) -> None:
    """Lay the edge of a plate, overhanging, with a row of ebony and bone under the table."""
    make = Make(surface, bevel_mm=1.4, lift_mm=1.8, relief=0.6)
    stage.solid(make, box(264.5, top, 650.5, top + 4.2, 1.6))
    if surface is not spruce:
        return
    blocks = [box(x, 1.0, x + 3.4, 3.2) for x in np.arange(268, 646, 6.8)]
    stage.lay(stage.region(box(266, 1.0, 649, 3.2)), parts.INK, 0.9)
    stage.lay(stage.region(*blocks), (0.88, 0.81, 0.66), 0.95)


def _above(stage: Stage) -> None:
    """Stand keybox, wheel cover, bridge and tailpiece on the soundboard."""
    parts.string(stage, [(WHEEL_X, -54), (BRIDGE_X, -52), (534, -40)], 0.9, lift_mm=1.0)
    tail = [(524, -38), (534, -43), (630, -8), (644, -4), (650, 8), (642, 8), (628, 0), (526, -34)]
    stage.solid(replace(parts.EBONY, lift_mm=5.0, relief=1.2), tail)
    bridge = Make(boxwood, along="y", bevel_mm=1.6, lift_mm=3.0, tint=(0.86, 0.74, 0.62))
    stage.solid(
        bridge,
        [(BRIDGE_X - 5.5, 0), (BRIDGE_X - 1.6, -52), (BRIDGE_X + 1.6, -52), (BRIDGE_X + 5.5, 0)],
    )
    for x in (500.0, 511.0):
        stage.solid(bridge, [(x - 3.5, 0), (x - 1.4, -36), (x + 1.4, -36), (x + 3.5, 0)])
    wall = Make(walnut, bevel_mm=1.8, lift_mm=6.0, relief=0.7)
    region = stage.solid(wall, box(BOX_LEFT, -62, BOX_RIGHT, 0, 1.5))
    marks.grime(stage, region, 0.12)
    stage.solid(
        Make(pear, bevel_mm=1.6, lift_mm=1.4), box(BOX_LEFT - 1, -66, BOX_RIGHT + 1, -60, 2.0)
    )
    line = box(BOX_LEFT + 5, -56, BOX_RIGHT - 5, -4)
    stage.stroke(np.concatenate((line, line[:1])), 0.6, (0.88, 0.80, 0.62), 0.8)
    _cover(stage)
    yoke = curve([(128, 2), (127, -30), (129, -62), (134, -68), (139, -62), (138, 2)], steps=6)
    stage.solid(wall, yoke)


def _cover(stage: Stage) -> None:
    """Stand the wheel cover: from the side, a hoop whose light fades upwards."""
    shape = box(WHEEL_X - 21, -66, WHEEL_X + 21, 1, 3.0)
    region = stage.region(shape)
    _, y = stage.grid(region)
    up = np.clip(-y / 66.0, 0.0, 1.0)
    light = 0.80 + 0.10 * up + 0.55 * np.exp(-(((up - 0.80) / 0.13) ** 2))
    stage.solid(Make(maple, along="y", bevel_mm=1.6, lift_mm=5.0), shape, light=light)
    for x in (WHEEL_X - 18, WHEEL_X + 18):
        stage.stroke([(x, -65), (x, 0)], 3.0, parts.INK, 0.85)
        blocks = [box(x - 1.0, -64 + 5.0 * k, x + 1.0, -61.5 + 5.0 * k) for k in range(13)]
        stage.lay(stage.region(*blocks), (0.86, 0.79, 0.64), 0.9)


def _key_heads(stage: Stage) -> None:
    """Show the keys end on, two rows one above the other, in their slots."""
    dark = Make(ebony, bevel_mm=1.6, lift_mm=4.0, relief=1.7)
    pale = Make(bone, bevel_mm=1.5, lift_mm=4.5, relief=0.7)
    for steps, make, y in ((ACCIDENTALS, pale, -34.0), (NATURALS, dark, -14.0)):
        for n in steps:
            x = tangent_x(n)
            wide = max(4.6, 0.86 * min(tangent_x(n + 1) - x, 12.0))
            if make is dark:
                wide *= 1.12
            parts.hole(stage, box(x - wide / 2 - 0.8, y - 6.2, x + wide / 2 + 0.8, y + 6.2))
            stage.solid(make, box(x - wide / 2, y - 5.4, x + wide / 2, y + 5.4, 1.3))
