"""The keybox of the wheel fiddle, seen from above."""

from __future__ import annotations

import numpy as np

from repairs.demo.pictures import marks, parts
from repairs.demo.pictures.anatomy import (
    ACCIDENTALS,
    BOX_BOTTOM,
    BOX_LEFT,
    BOX_RIGHT,
    BOX_TOP,
    NATURALS,
    tangent_x,
)
from repairs.demo.pictures.shapes import box
from repairs.demo.pictures.stage import Make, Stage
from repairs.demo.pictures.wood import bone, brass, ebony, pear, walnut

STUCK_KEY = 16


def draw_keys(stage: Stage) -> None:
    """Push the two rows of keys out of the box: dark naturals below, pale ones above."""
    dark = Make(ebony, along="y", bevel_mm=1.8, lift_mm=4.0, relief=1.6)
    pale = Make(bone, along="y", bevel_mm=1.5, lift_mm=4.5, relief=0.6)
    for steps, make, reach in ((NATURALS, dark, 26.0), (ACCIDENTALS, pale, 15.5)):
        for n in steps:
            x = tangent_x(n)
            room = min(tangent_x(n + 1) - x, 12.0)
            wide = max(4.2, (0.92 if make is dark else 0.66) * room)
            out = reach - (6.0 if n == STUCK_KEY and not stage.is_mended("stuck_key") else 0.0)
            stage.solid(
                make, box(x - wide / 2, BOX_BOTTOM - 4, x + wide / 2, BOX_BOTTOM + out, 1.6)
            )


def keybox(stage: Stage) -> None:
    """Close the box: walls, a lid in two leaves with bone lines and lozenges."""
    wall = Make(walnut, bevel_mm=1.6, lift_mm=11.0, relief=0.7)
    stage.solid(wall, box(BOX_LEFT, BOX_TOP, BOX_RIGHT, BOX_BOTTOM, 1.5))
    lid = Make(pear, bevel_mm=2.2, lift_mm=2.0, relief=0.8)
    for left, right in ((138, 208), (210, 420)):
        leaf = stage.solid(lid, box(left, -34, right, 32, 2.0))
        marks.grime(stage, leaf, 0.10)
        line = box(left + 5, -29, right - 5, 27)
        stage.stroke(np.concatenate((line, line[:1])), 1.3, parts.INK, 0.8)
        stage.stroke(np.concatenate((line, line[:1])), 0.6, (0.88, 0.80, 0.62), 0.9)
    for x in (173.0, 262.0, 315.0, 368.0):
        lozenge(stage, (x, -1.0), 11.0 if x != 315.0 else 15.0)
    stage.glow((300, -16), (110, 12), 0.30)
    for x in (236.0, 394.0):
        stage.solid(Make(brass, bevel_mm=0.8, lift_mm=0.8), box(x - 7, -37.4, x + 7, -31, 0.8))


def lozenge(stage: Stage, centre: tuple[float, float], reach: float) -> None:
    x, y = centre
    shape = [(x - reach, y), (x, y - reach * 0.6), (x + reach, y), (x, y + reach * 0.6)]
    stage.solid(Make(ebony, bevel_mm=0.5, lift_mm=0.2, shadow=0.0), shape)
    inner = [((px - x) * 0.84 + x, (py - y) * 0.84 + y) for px, py in shape]
    stage.solid(Make(bone, bevel_mm=0.5, lift_mm=0.2, shadow=0.0, tint=(0.94, 0.90, 0.82)), inner)
    for a, b in ((0, 0), (-0.36, 0), (0.36, 0), (0, -0.22), (0, 0.22)):
        stage.dot((x + a * reach, y + b * reach), reach * 0.075, (0.12, 0.09, 0.07))
