"""A wheel fiddle from behind: two halves of flamed maple, or the staves of a lute's back."""

from dataclasses import replace
from functools import partial

import numpy as np

from repairs.demo.pictures import marks, parts
from repairs.demo.pictures.anatomy import (
    ACCIDENTALS,
    BOX_BOTTOM,
    BOX_TOP,
    LUTEBACK,
    NATURALS,
    PEAR_HALF,
    VIELLE,
    half_width,
    tangent_x,
)
from repairs.demo.pictures.shapes import Outline, box, curve, inset
from repairs.demo.pictures.stage import Make, Stage
from repairs.demo.pictures.wood import bone, book_matched, ebony, maple, walnut

BACK_CRACK = ((556.0, 1.0), (600.0, 0.0), (644.0, 0.6))
WORMS = ((512.0, 66.0), (534.0, 60.0), (558.0, 68.0), (562.0, 86.0), (540.0, 98.0), (516.0, 90.0))
BACK_WEAR = ((585.0, -70.0), (34.0, 26.0))
BACK_SPOTS = {
    "open_centre_joint": ("line", BACK_CRACK),
    "worm_holes": ("polygon", WORMS),
    "worn_back": (
        "polygon",
        (
            (552.0, -80.0),
            (575.0, -95.0),
            (606.0, -88.0),
            (618.0, -68.0),
            (596.0, -46.0),
            (560.0, -54.0),
        ),
    ),
    "neck_joint": ("line", ((274.0, -24.0), (274.0, 24.0))),
}
STAVES = 9
OPEN_STAVE = 6
STAVE_SPOTS_X = (390.0, 520.0)


def seam(number: int) -> Outline:
    """Return the line where two staves of the lute-shaped back meet, counted from the top."""
    x = np.linspace(262.5, 647.5, 80)
    share = -np.cos(np.pi * number / STAVES)
    return np.stack((x, half_width(PEAR_HALF, x) * share), axis=1)


def _seam_part(number: int, left: float, right: float) -> tuple[tuple[float, float], ...]:
    line = seam(number)
    places = np.linspace(left, right, 7)
    return tuple((float(x), float(np.interp(x, line[:, 0], line[:, 1]))) for x in places)


OPEN_SEAM = _seam_part(OPEN_STAVE, *STAVE_SPOTS_X)
STAVE_CRACK = ((430.0, -18.0), (470.0, -19.0), (512.0, -17.5))
LUTE_SPOTS = {
    "open_stave_joint": ("line", OPEN_SEAM),
    "cracked_stave": ("line", STAVE_CRACK),
    "neck_joint": ("line", ((270.0, -22.0), (270.0, 22.0))),
}


def draw_back(stage: Stage) -> None:
    """Draw the flat back of the guitar-bodied fiddle."""
    _behind(stage)
    surface = partial(book_matched, surface=maple)
    make = Make(surface, bevel_mm=2.8, lift_mm=26.0, relief=0.6, shadow=0.62)
    region = stage.solid(make, VIELLE.outline)
    stage.shade(region, stage.edge(region, 90.0, 0.45))
    marks.grime(stage, region, 0.14)
    for shift, wide, tone in ((4.0, 1.6, parts.INK), (4.0, 0.7, (0.80, 0.68, 0.45))):
        line = inset(VIELLE.outline, shift)
        stage.stroke(np.concatenate((line, line[:1])), wide, tone, 0.85)
    stage.stroke([(269, 0), (647, 0)], 1.5, parts.INK, 0.7)
    stage.stroke([(269, 0), (647, 0)], 0.6, (0.80, 0.68, 0.45), 0.8)
    stage.glow((340, -50), (60, 22), 0.28)
    stage.glow((545, -62), (70, 40), 0.30)
    marks.worn(stage, *BACK_WEAR, 0.6)
    marks.crack(stage, BACK_CRACK, 1.3)
    marks.worm_holes(stage, WORMS, 17)
    marks.scratches(stage, (480, -80, 600, 70), 26)


def draw_staves(stage: Stage) -> None:
    """Draw the vaulted back of the lute-backed fiddle, stave by stave."""
    _behind(stage)
    whole = stage.region(LUTEBACK.outline)
    stage.shadow(whole, 30.0, 0.62)
    for number in range(STAVES):
        _stave(stage, number)
    stage.shade(whole, stage.edge(whole, 16.0, 0.45))
    for number in range(1, STAVES):
        stage.stroke(seam(number), 1.5, parts.INK, 0.75)
        stage.stroke(seam(number), 0.6, (0.84, 0.74, 0.52), 0.75)
    cap = curve([(606, 0), (608, 48), (616, 92)], steps=6)
    end = np.concatenate((cap, [(632, 88), (647, 34), (648, 0)]))
    make = Make(walnut, along="y", bevel_mm=2.4, lift_mm=1.5, relief=0.8)
    cover = stage.solid(make, np.concatenate((end, (end * (1, -1))[::-1])))
    stage.shade(cover, stage.edge(cover, 22.0, 0.4))
    stage.glow((450, -52), (110, 16), 0.34)
    marks.crack(stage, OPEN_SEAM, 1.1)
    marks.crack(stage, STAVE_CRACK, 0.6)
    marks.scratches(stage, (360, -50, 570, 50), 18)


def _stave(stage: Stage, number: int) -> None:
    """Lay one stave, lit by the way it faces; light and dark woods take turns."""
    upper, lower = seam(number), seam(number + 1)
    facing = stage.shaded * np.cos(np.pi * (number + 0.5) / STAVES)
    light = 0.98 + 0.30 * facing - 0.26 * (1 - np.sin(np.pi * (number + 0.5) / STAVES))
    if number % 2:
        make = Make(maple, bevel_mm=1.0, relief=0.35, shadow=0.0, tint=(light,) * 3)
    else:
        make = Make(
            walnut,
            bevel_mm=1.0,
            relief=0.35,
            shadow=0.0,
            tint=(1.5 * light, 1.35 * light, 1.25 * light),
        )
    stage.solid(make, np.concatenate((upper, lower[::-1])))


def _behind(stage: Stage) -> None:
    """Lay what is seen past the body: crank, pegs, back of the head, floor of the keybox."""
    parts.crank(stage, (640.0, 0.0), 180.0)
    for x in (62.0, 88.0, 114.0):
        parts.peg(stage, (x, -23.0), -1.0)
        parts.peg(stage, (x - 12.0, 23.0), 1.0)
    for steps, surface, reach in ((ACCIDENTALS, bone, 15.5), (NATURALS, ebony, 26.0)):
        make = Make(surface, along="y", bevel_mm=1.6, lift_mm=4.0, relief=0.9)
        for n in steps:
            x, wide = tangent_x(n), max(4.2, 0.8 * min(tangent_x(n + 1) - tangent_x(n), 12.0))
            stage.solid(
                make, box(x - wide / 2, -BOX_BOTTOM - reach, x + wide / 2, -BOX_BOTTOM + 4, 1.6)
            )
    wood = Make(walnut, bevel_mm=2.4, lift_mm=12.0, relief=0.7)
    yoke = box(125, -62, 137, 62, 4.0)
    stage.solid(replace(wood, along="y"), yoke)
    stage.solid(wood, box(134, -BOX_BOTTOM, 300, -BOX_TOP, 2.0))
    neck = curve([(30, -16), (60, -21), (120, -25), (160, -20), (220, -21), (280, -29)], steps=8)
    back = stage.solid(
        replace(wood, bevel_mm=26.0, relief=1.1, lift_mm=16.0),
        np.concatenate((neck, (neck * (1, -1))[::-1])),
    )
    marks.grime(stage, back, 0.12)
    parts.rosette(stage, (24.0, 0.0), 23.0, petals=6)
