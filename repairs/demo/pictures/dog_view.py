"""The buzzing bridge seen close, from the side."""

from __future__ import annotations

from dataclasses import replace

from repairs.demo.pictures import marks, parts
from repairs.demo.pictures.close_views import board
from repairs.demo.pictures.shapes import box, curve, oval
from repairs.demo.pictures.stage import Make, Stage
from repairs.demo.pictures.wood import pear, walnut

DOG_FOOT_Y = 6.0
DOG_SPOTS = {
    "dog_foot_gap": ("line", ((6.0, DOG_FOOT_Y + 0.4), (20.0, DOG_FOOT_Y + 0.2))),
    "dog_slot": ("point", ((-16.0, 2.0),)),
    "tirant": ("point", ((32.0, 20.5),)),
    "dog_plate": ("polygon", ((0.0, 5.0), (30.0, 5.0), (31.0, 14.0), (0.0, 14.0))),
}


def draw_dog(stage: Stage) -> None:
    """Draw the buzzing bridge: its tail held in a slot, its foot free on a bone plate."""
    board(stage, -130.0)
    marks.rosin_dust(stage, (0, -90), (60, 40))
    plate = box(-4, 0, 30, 14, 2.0)
    stage.solid(replace(parts.BONE, lift_mm=0.7, bevel_mm=1.2), plate)
    block = Make(walnut, bevel_mm=2.4, lift_mm=5.0, relief=0.8)
    stage.solid(block, box(-40, -18, -12, 12, 2.0))
    parts.hole(stage, box(-22, -6, -11, 8, 1.0), thick_mm=1.4)
    _dog_body(stage)
    parts.string(stage, [(4, -140), (4, -24)], 1.1, lift_mm=8.0)
    parts.string(stage, [(4, -24), (2, 140)], 1.1, lift_mm=8.0)
    tirant = curve([(4.5, -14), (14, 6), (32, 20), (74, 40)])
    parts.string(stage, tirant, 0.7, tone=(0.82, 0.74, 0.60), lift_mm=2.5)
    for k in range(4):
        knot = [(2.2, -15 + k * 0.8), (6.6, -14.4 + k * 0.8)]
        parts.string(stage, knot, 0.7, tone=(0.82, 0.74, 0.60), lift_mm=0.4)
    tail = Make(walnut, bevel_mm=3.0, lift_mm=7.0, relief=0.9, tint=(0.62, 0.58, 0.56))
    stage.solid(tail, [(66, 26), (140, 14), (140, 130), (74, 130)])
    stage.solid(replace(parts.PEG, lift_mm=6.0), oval((76, 42), (6.4, 6.0)))
    stage.solid(replace(parts.BONE, lift_mm=1.0), oval((76, 41), (2.2, 2.0)))
    parts.string(stage, [(-54, -140), (-56, 140)], 1.3, lift_mm=8.0)


def _dog_body(stage: Stage) -> None:
    shape = curve(
        [
            (-18, 5),
            (-17, -6),
            (-8, -14),
            (-2, -22),
            (4, -25),
            (10, -21),
            (14, -10),
            (21, -2),
            (23, 5),
            (18, DOG_FOOT_Y),
            (7, DOG_FOOT_Y - 0.4),
            (3, -1),
            (-6, -1),
            (-10, 5),
        ],
        closed=True,
        steps=6,
    )
    make = Make(pear, bevel_mm=3.2, lift_mm=5.0, relief=1.0)
    region = stage.solid(make, shape)
    marks.grime(stage, region, 0.1)
    stage.lay(stage.region([(2.8, -26), (4, -21.6), (5.2, -26)]), parts.INK, 0.9)
    gap = 0.3 if stage.mended else 1.0
    stage.lay(stage.region([(5, 5.4), (22, 5.2), (22, 5.6 + gap), (5, 6.0)]), marks.DARK, 0.85)
