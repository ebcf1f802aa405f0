"""A violin from the side, its scroll, and its bridge seen from the tailpiece."""

from dataclasses import replace

import numpy as np

from repairs.demo.pictures import marks, parts
from repairs.demo.pictures.shapes import Outline, box, curve, mirrored_across, oval, ribbon
from repairs.demo.pictures.stage import Make, Stage
from repairs.demo.pictures.violin import (
    BODY_X,
    BRIDGE_X,
    LOWER,
    STRINGS,
    UPPER,
    WAIST,
    varnished_maple,
    varnished_spruce,
)
from repairs.demo.pictures.wood import Surface, boxwood, ebony

SIDE_SPOTS = {
    "open_rib_seam": ("line", ((490.0, 29.8), (530.0, 29.9), (566.0, 29.6))),
    "neck_heel": ("point", ((234.0, 14.0),)),
}
SCROLL_SPOTS = {
    "scroll_wear": (
        "polygon",
        ((4.0, 2.0), (14.0, -14.0), (26.0, -20.0), (28.0, -12.0), (14.0, 6.0)),
    ),
    "pegbox_crack": ("line", ((68.0, 13.0), (92.0, 14.4))),
}


def draw_side(stage: Stage) -> None:
    """Draw the violin lying on its back, from the bass side; 0 is the top plate."""
    neck = curve([(96, -4), (140, -2), (200, -1), (226, 8), (238, 30)], steps=8)
    wood = Make(varnished_maple, bevel_mm=7.0, lift_mm=12.0, relief=0.8)
    stage.solid(wood, np.concatenate((neck, [(250, 2), (240, -14), (96, -14)])))
    draw_scroll_body(stage)
    x = np.linspace(BODY_X, BODY_X + 355, 90)
    half = _half_at(x)
    slope = np.convolve(np.pad(np.gradient(half, x), 3, mode="edge"), np.ones(7) / 7, mode="valid")
    light = 0.50 + 0.58 * np.clip((0.83 - 0.55 * -slope) / np.sqrt(1 + slope**2), 0, 1)
    wall = box(BODY_X, 0, BODY_X + 355, 31, 2.0)
    region = stage.region(wall)
    across, _ = stage.grid(region)
    bend = np.interp(across, x, light).astype(np.float32)
    stage.solid(replace(wood, bevel_mm=1.0, lift_mm=18.0, relief=0.3, shadow=0.5), wall, light=bend)
    swell = 14.0 * np.sin(np.linspace(0, np.pi, 60)) ** 0.55
    along = np.linspace(BODY_X - 2.5, BODY_X + 358, 60)
    _plate_edge(stage, np.stack((along, -3.2 - swell), 1), 1.0, varnished_spruce)
    _plate_edge(stage, np.stack((along, 33.0 + swell), 1), 30.0, varnished_maple)
    for corner in (143.0, 234.0):
        stage.shade(stage.region(box(BODY_X + corner - 1, 1, BODY_X + corner + 3, 30)), 0.55)
    marks.crack(stage, SIDE_SPOTS["open_rib_seam"][1], 0.9)
    _side_fittings(stage)


def _half_at(x: np.ndarray) -> np.ndarray:
    line = np.concatenate([curve(piece, steps=10) for piece in (UPPER, WAIST, LOWER)])
    return np.interp(x - BODY_X, line[:, 0], line[:, 1])


def _plate_edge(stage: Stage, swell: Outline, level: float, surface: Surface) -> None:
    """Show one plate from its edge: the arching behind, then the overhanging edge itself."""
    base = np.stack((swell[:, 0], np.full(len(swell), level)), 1)
    stage.solid(
        Make(surface, bevel_mm=6.0, lift_mm=2.0, relief=0.8, shadow=0.25),
        np.concatenate((swell, base[::-1])),
    )
    stage.solid(
        Make(surface, bevel_mm=1.4, lift_mm=2.0, relief=0.8),
        box(
            BODY_X - 3,
            level - 3.6 if level < 10 else level,
            BODY_X + 358.5,
            level + 0.6 if level < 10 else level + 4.0,
            1.8,
        ),
    )


def _side_fittings(stage: Stage) -> None:
    black = Make(ebony, bevel_mm=2.4, lift_mm=4.0, relief=1.5)
    stage.solid(black, [(104, -15), (374, -37), (374, -31), (240, -13), (104, -9)])
    stage.solid(black, [(468, -40), (474, -44), (584, -8), (592, 2), (588, 6), (580, -2)])
    bridge = Make(boxwood, along="y", bevel_mm=1.0, lift_mm=3.0, tint=(1.05, 0.98, 0.86))
    top = -50.0
    stage.solid(
        bridge,
        [
            (BRIDGE_X - 2.4, -16),
            (BRIDGE_X - 0.8, top),
            (BRIDGE_X + 0.9, top),
            (BRIDGE_X + 2.4, -16),
        ],
    )
    for lift in (0.0, 1.6):
        parts.string(
            stage,
            [(101, -16 + lift / 2), (BRIDGE_X, top + lift), (478, -42 + lift)],
            0.7,
            tone=parts.WOUND,
            lift_mm=1.0,
        )


def draw_scroll(stage: Stage) -> None:
    """Draw the head alone, from its bass side."""
    neck = curve([(96, -4), (140, -2), (200, -1)], steps=8)
    wood = Make(varnished_maple, bevel_mm=7.0, lift_mm=12.0, relief=0.8)
    stage.solid(wood, np.concatenate((neck, [(200, -14), (96, -14)])))
    draw_scroll_body(stage)
    black = Make(ebony, bevel_mm=2.4, lift_mm=3.0, relief=1.5)
    stage.solid(black, [(104, -15), (200, -22), (200, -14), (104, -9)])
    for lift in (0.0, 1.5):
        parts.string(
            stage, [(101, -16 + lift), (210, -24 + lift)], 0.7, tone=parts.WOUND, lift_mm=1.0
        )
    marks.crack(stage, SCROLL_SPOTS["pegbox_crack"][1], 0.5)
    marks.worn(stage, (14, -8), (8, 12), 0.8)


def draw_scroll_body(stage: Stage) -> None:
    """Carve the pegbox and the volute from the side, with the pegs end on."""
    wood = Make(varnished_maple, bevel_mm=2.6, lift_mm=9.0, relief=0.8)
    lower = curve([(104, -4), (92, 14), (74, 19), (56, 17), (40, 18), (24, 20)], steps=8)
    upper = curve([(18, -16), (36, -17), (44, -7), (58, -3), (80, -10), (104, -16)], steps=8)
    stage.solid(wood, np.concatenate((lower, upper)))
    stage.stroke(
        curve([(100, -3), (90, 10), (74, 15.4), (56, 13.4), (42, 14)]), 0.8, parts.INK, 0.35
    )
    for k, x in enumerate((46.0, 60.0, 75.0, 90.0)):
        y = (5.5, 5.0, 3.0, -2.0)[k]
        if k % 2:
            stage.solid(
                Make(ebony, bevel_mm=3.0, lift_mm=9.0, relief=1.6), oval((x, y), (7.6, 7.0))
            )
            stage.dot((x, y), 1.2, (0.86, 0.80, 0.64))
        else:
            stage.solid(
                Make(ebony, bevel_mm=1.0, lift_mm=1.0, relief=1.5), oval((x, y), (2.5, 2.5))
            )
    parts.volute(stage, (22.0, 0.0), 21.0, make=replace(wood, bevel_mm=2.0, lift_mm=4.0))


BRIDGE_HALF = (
    *((0, -35), (8, -33.6), (17, -28.5), (19, -25), (16, -20), (19, -14), (17.5, -8), (14, -4)),
    *((16, 4), (20, 12), (21, 18), (8.5, 18), (7.5, 13), (0, 6)),
)
BRIDGE_SPOTS = {
    "bridge_foot_gap": ("line", ((9.0, 17.8), (21.0, 17.8))),
}


def draw_bridge(stage: Stage) -> None:
    """Draw the bridge from the tailpiece: feet, kidneys, heart, four strings; a lifted foot."""
    make = Make(varnished_spruce, along="y", bevel_mm=2.0, shadow=0.0)
    table = stage.solid(make, box(-200, -46, 200, 200))
    marks.grime(stage, table, 0.12)
    board = Make(ebony, along="y", bevel_mm=4.0, lift_mm=7.0, relief=1.4)
    stage.solid(board, curve([(-22, -50), (-21, -66), (0, -72), (21, -66), (22, -50)], steps=8))
    for side in (-1, 1):
        stem = curve(
            [(24 * side, -22), (30 * side, -14), (33 * side, 4), (42 * side, 22), (49 * side, 30)],
            steps=8,
        )
        wide = 1.6 + 4.0 * np.sin(np.linspace(0.1, np.pi - 0.1, len(stem)))
        parts.hole(stage, ribbon(stem, wide), thick_mm=2.4)
        parts.hole(stage, oval((26 * side, -21), (3.2, 2.4)), thick_mm=1.8)
        parts.hole(stage, oval((47 * side, 33), (4.6, 3.6)), thick_mm=1.8)
    marks.rosin_dust(stage, (0, -28), (34, 14))
    _violin_bridge(stage)
    for k, (x, gauge) in enumerate(STRINGS):
        top = -34.0 + 0.022 * x * x
        tone = parts.WOUND if k else (0.86, 0.86, 0.84)
        parts.string(stage, [(x * 0.86, -62), (x, top)], gauge, tone=tone, lift_mm=1.0)
        parts.string(stage, [(x, top), (x * 1.1, 140)], gauge * 1.1, tone=tone, lift_mm=8.0)


def _violin_bridge(stage: Stage) -> None:
    shape = mirrored_across(curve(BRIDGE_HALF, steps=6))
    heart = curve(
        [(0, -2), (4.4, -9), (3.0, -14), (0, -11), (-3.0, -14), (-4.4, -9)], closed=True, steps=6
    )
    wings = [
        curve([(10 * s, -14), (15 * s, -12), (12.5 * s, -6), (9 * s, -8)], closed=True, steps=6)
        for s in (-1, 1)
    ]
    make = Make(boxwood, bevel_mm=1.6, lift_mm=9.0, relief=0.9, tint=(1.08, 1.0, 0.88))
    stage.solid(make, shape, holes=[heart, *wings])
    gap = 0.25 if stage.mended else 1.0
    stage.lay(
        stage.region([(8.5, 17.6), (21, 17.4), (21, 17.9 + gap), (8.5, 18.0)]), marks.DARK, 0.9
    )
