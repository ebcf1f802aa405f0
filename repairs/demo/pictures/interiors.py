"""Inside a body, as a small camera or a mirror sees it: bare wood, bars, the label, cleats."""

import numpy as np

from repairs.demo.pictures import card, marks
from repairs.demo.pictures.shapes import Outline, box, curve
from repairs.demo.pictures.stage import Make, Region, Stage
from repairs.demo.pictures.texture import field
from repairs.demo.pictures.wood import bare_spruce, maple, paper, spruce

WIDE = 260.0
LABEL_BOX = (-41.0, -28.0, 41.0, 22.0)
TORN = ((41.0, 8.0), (34.0, 12.0), (31.0, 22.0))
LABEL = ((-41.0, -28.0), (41.0, -28.0), (41.0, 22.0), (-41.0, 22.0))
OPEN_BRACE = ((-80.0, 45.2), (-30.0, 45.0))
WHOLE_SPOTS = {"label": ("polygon", LABEL)}
TORN_SPOTS = {
    "label": ("polygon", (*LABEL[:2], TORN[0], TORN[-1], LABEL[3])),
    "torn_label": ("line", TORN),
    "open_brace": ("line", OPEN_BRACE),
}
# The underside of the soundboard, mirrored: 146 mm of crack, a cleat at each end and two between.
CRACK_INSIDE = ((-73.0, -6.0), (-20.0, -5.2), (40.0, -6.4), (73.0, -6.0))
CLEATS_X = (-67.5, -22.5, 22.5, 67.5)
CLEAT_MM = 10.0
GLUED_BAR = ((-84.0, 33.0), (84.0, 33.0))
INSIDE_SPOTS = {
    "crack_inside": ("line", (CRACK_INSIDE[0], CRACK_INSIDE[-1])),
    "cleats": ("polygon", ((-74.0, -13.0), (74.0, -13.0), (74.0, 1.0), (-74.0, 1.0))),
    "glued_bar": ("line", GLUED_BAR),
}


def draw_label(stage: Stage, lines: tuple[str, ...], *, torn: bool) -> None:
    """Draw the inside of the back as a small camera sees it: bare wood, a bar, the label."""
    wood = Make(maple, bevel_mm=1.0, shadow=0.0, tint=(1.02, 1.16, 1.42))
    inside = stage.solid(wood, box(-WIDE, -WIDE, WIDE, WIDE))
    marks.grime(stage, inside, 0.25)
    stage.solid(
        Make(spruce, bevel_mm=3.0, lift_mm=7.0, relief=0.8, tint=(0.86, 0.86, 0.84)),
        box(-WIDE, 45, WIDE, 60, 2.0),
    )
    torn = torn and not stage.mended
    if torn:
        marks.crack(stage, OPEN_BRACE, 1.0)
    label = np.concatenate((LABEL[:2], _torn_edge() if torn else LABEL[2:3], LABEL[3:]))
    whole = Make(paper, bevel_mm=0.5, lift_mm=0.5, relief=0.25, shadow=0.4)
    region = stage.solid(whole, label)
    _print(stage, region, lines)
    stage.glow((0, -2), (70, 50), 0.22)
    _lamp(stage, (0.0, 8.0))


def _lamp(stage: Stage, centre: tuple[float, float]) -> None:
    """Let the light of the small lamp fall off towards the corners."""
    shade = Region(0, 0, np.ones((stage.height, stage.width), np.float32))
    x, y = stage.grid(shade)
    far = ((x - centre[0]) / 105) ** 2 + ((y - centre[1]) / 82) ** 2
    stage.shade(shade, (0.24 + 0.80 * np.exp(-far * np.sqrt(far))).astype(np.float32))


def draw_underside(stage: Stage) -> None:
    """Draw the soundboard from below, in the mirror: crack, bar, and the cleats once glued."""
    wood = Make(bare_spruce, bevel_mm=1.0, shadow=0.0, tint=(0.84, 0.80, 0.74))
    inside = stage.solid(wood, box(-WIDE, -WIDE, WIDE, WIDE))
    marks.grime(stage, inside, 0.3)
    bar = Make(spruce, bevel_mm=3.0, lift_mm=8.0, relief=0.8, tint=(0.82, 0.80, 0.76))
    stage.solid(bar, box(-WIDE, 33, WIDE, 45, 2.0))
    marks.crack(stage, CRACK_INSIDE, 0.9, name="crack_soundboard")
    if stage.is_mended("crack_soundboard"):
        stage.stroke(curve(CRACK_INSIDE), 0.45, (0.24, 0.15, 0.07), 0.6)
        for x in CLEATS_X:
            _cleat(stage, x, -6.0)
    stage.glow((-4, -2), (80, 46), 0.2)
    _lamp(stage, (0.0, 4.0))


def _cleat(stage: Stage, x: float, y: float) -> None:
    """Glue a cleat: fresh spruce, grain across the crack, bevelled, a bead of glue around it."""
    half = CLEAT_MM / 2
    bead = stage.region(box(x - half - 0.7, y - half - 0.7, x + half + 0.7, y + half + 0.7, 1.2))
    stage.lay(bead, (0.50, 0.36, 0.18), 0.45)
    new = Make(bare_spruce, along="y", bevel_mm=1.8, lift_mm=2.0, relief=0.9, tint=(1.1, 1.06, 1.0))
    stage.solid(new, box(x - half, y - half, x + half, y + half, 0.6))


def _torn_edge() -> Outline:
    rng = np.random.default_rng(11)
    line = curve(TORN, steps=9)
    return line + rng.normal(0, 0.35, line.shape)


def _print(stage: Stage, region: Region, lines: tuple[str, ...]) -> None:
    size = (LABEL_BOX[2] - LABEL_BOX[0], LABEL_BOX[3] - LABEL_BOX[1])
    ink = card.printed_label(stage.ppm, size, lines)
    corner = stage.px([LABEL_BOX[:2]])[0].round().astype(int)
    height, width = (min(a, b) for a, b in zip(ink.shape, region.shape, strict=True))
    cover = region.mask[1:height, 1:width]
    patch = ink[: cover.shape[0], : cover.shape[1]] * cover
    cell = 2.0 * stage.ppm
    worn = np.clip(0.80 + 0.16 * field(patch.shape, (cell, cell), stage.fresh()), 0.2, 1)
    stage.lay(
        Region(int(corner[0]), int(corner[1]), (patch * worn).astype(np.float32)),
        (0.16, 0.11, 0.08),
    )
