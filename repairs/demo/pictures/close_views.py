"""Close views taken slantwise from the tail end: wheel, bridge, trompette's dog.

Here x runs across the instrument and y down the picture, both in millimetres of the picture.
"""

from dataclasses import replace

import numpy as np

from repairs.demo.pictures import marks, parts
from repairs.demo.pictures.shapes import box, curve, mirrored_across, oval, ribbon
from repairs.demo.pictures.stage import Make, Region, Stage
from repairs.demo.pictures.texture import field
from repairs.demo.pictures.wood import boxwood, iron, maple, spruce, walnut

RADIUS, DEPTH_MM = 85.0, 35.0
FLAT, RIM = 0.643, 10.5
SLOT = (-84.0, -15.0, 84.0, 27.0)
RIM_JOINT_X = -36.0
WIDE = 260.0


def _front_arc(x: np.ndarray, radius: float = RADIUS) -> np.ndarray:
    """Return how high in the picture the front edge of the wheel stands."""
    return DEPTH_MM * FLAT - FLAT * np.sqrt(np.clip(radius**2 - x**2, 0, None))


_JOINT_Y = float(_front_arc(np.array(RIM_JOINT_X)))
WHEEL_SPOTS = {
    "rim_joint": ("line", ((RIM_JOINT_X, _JOINT_Y), (RIM_JOINT_X + 3.0, _JOINT_Y - RIM))),
    "rosin_build_up": (
        "polygon",
        tuple(
            (float(x), float(_front_arc(np.array(x)) + d))
            for x, d in ((12, 0), (28, 0), (44, 0), (44, -RIM), (28, -RIM), (12, -RIM))
        ),
    ),
    "hub": ("point", ((0.0, 20.0),)),
    "wheel_slot": ("polygon", ((-84.0, -15.0), (84.0, -15.0), (84.0, 27.0), (-84.0, 27.0))),
    "cotton": ("point", ((-6.0, -37.0),)),
}


def draw_wheel(stage: Stage) -> None:
    """Draw the wheel with its cover off: rim, rosin, hub in the slot, strings in their cotton."""
    board(stage, -120.0)
    marks.rosin_dust(stage, (0, 10), (92, 44))
    slot = parts.hole(stage, box(*SLOT, 2.0), thick_mm=3.0)
    _wheel_face(stage, slot)
    _wheel_rim(stage)
    end = Make(walnut, bevel_mm=2.0, lift_mm=8.0, relief=0.7)
    stage.solid(end, box(-39, -150, 39, -58, 2.0))
    parts.hole(stage, box(-16, -70, 16, -61, 2.0))
    strands = (
        (-6.0, 0.95, parts.GUT),
        (6.0, 0.85, parts.GUT),
        (-50.0, 1.1, parts.GUT),
        (47.0, 1.9, parts.WOUND),
        (56.0, 3.0, parts.WOUND),
    )
    for x, gauge, tone in strands:
        start = -64.0 if abs(x) < 10 else -140.0
        parts.string(stage, [(x, start), (x * 1.02, 130)], gauge, tone=tone, lift_mm=6.0)
        _cotton(stage, (x, float(_front_arc(np.array(x)) - 5.0)), gauge)


def board(stage: Stage, top: float) -> Region:
    board = stage.solid(
        Make(spruce, along="y", bevel_mm=2.0, shadow=0.0), box(-WIDE, top, WIDE, WIDE)
    )
    marks.grime(stage, board, 0.13)
    return board


def _wheel_face(stage: Stage, slot: Region) -> None:
    """Show the disc's face, growing dark below the soundboard, with its hub and axle."""
    x = np.linspace(-82, 82, 90)
    face = np.concatenate((np.stack((x, _front_arc(x)), 1), [(82, 26.5), (-82, 26.5)]))
    region = stage.region(face)
    _, y = stage.grid(region)
    light = np.clip(0.98 - 0.020 * (y + 8), 0.30, 1.0).astype(np.float32)
    disc = Make(maple, bevel_mm=1.2, lift_mm=3.0, relief=0.4, shadow=0.3, tint=(0.92, 0.94, 0.98))
    stage.solid(disc, face, light=light)
    for inset_mm, tone in ((9.0, 0.6), (9.8, 0.3)):
        ring = np.stack((x, _front_arc(x, RADIUS - inset_mm) + 0.0), 1)[
            np.abs(x) < RADIUS - inset_mm
        ]
        stage.stroke(ring[ring[:, 1] < 26], 0.5, parts.INK, tone)
    hub = oval((0, DEPTH_MM * FLAT), (15.0, 9.6))
    hub = hub[hub[:, 1] < 26.6]
    stage.solid(Make(walnut, bevel_mm=2.0, lift_mm=2.0, tint=(0.9, 0.9, 0.9)), hub)
    axle = oval((0, DEPTH_MM * FLAT + 0.5), (5.0, 3.2))
    stage.solid(Make(iron, bevel_mm=1.6, lift_mm=1.2, relief=1.0, tint=(1.25,) * 3), axle)
    _, down = stage.grid(slot)
    lip = np.exp(-(((down - 27.0) / 5.0) ** 2)).astype(np.float32)
    stage.shade(Region(slot.x, slot.y, slot.mask * lip), 0.45)


def _wheel_rim(stage: Stage) -> None:
    """Bend the rim: polished amber, streaked by the strings, white with rosin in places."""
    x = np.linspace(-77, 77, 110)
    front = np.stack((x, _front_arc(x)), 1)
    band = np.concatenate((front, (front - (0, RIM))[::-1]))
    region = stage.region(band)
    across, _ = stage.grid(region)
    tilt = across / RADIUS
    light = 0.50 + 0.44 * np.sqrt(1 - tilt**2) - 0.26 * tilt
    gloss = 0.26 * np.exp(-(((across + 24) / 15) ** 2))
    make = Make(boxwood, bevel_mm=1.0, lift_mm=5.0, relief=0.45, tint=(0.98, 0.86, 0.66))
    stage.solid(make, band, light=(light + gloss).astype(np.float32))
    rng = stage.fresh()
    streak = field(region.shape, (1.0, 40.0 * stage.ppm), rng)
    stage.shade(region, (1.0 + 0.05 * streak).astype(np.float32))
    dust = np.clip(0.25 + 0.6 * field(region.shape, (1.6 * stage.ppm, 7.0 * stage.ppm), rng), 0, 1)
    heap = np.exp(-(((across - 28) / 15) ** 2)) * (0.15 if stage.mended else 0.85)
    amount = (0.16 + heap) * dust * region.mask
    stage.lay(Region(region.x, region.y, amount.astype(np.float32)), (0.95, 0.91, 0.80))
    joint = WHEEL_SPOTS["rim_joint"][1]
    lip = [(x + 0.5, y) for x, y in joint]
    stage.stroke(lip, 0.35, (0.98, 0.88, 0.64), 0.5)
    closed = stage.is_mended("rim_joint")
    stage.stroke(joint, 0.2 if closed else 0.45, marks.DARK, 0.5 if closed else 0.9)


def _cotton(stage: Stage, place: tuple[float, float], gauge: float) -> None:
    """Wrap a wisp of cotton round a string where the wheel meets it."""
    x, y = place
    spine = curve([(x, y - 8), (x + 0.2, y), (x, y + 6)], steps=8)
    swell = (gauge + 1.9) * np.sin(np.linspace(0.15, np.pi - 0.15, len(spine))) ** 0.6
    core = stage.region(ribbon(spine, swell))
    rng = stage.fresh()
    if not core.mask.size:
        return
    stage.shadow(core, 1.4, 0.4)
    stage.lay(core, (0.86, 0.83, 0.76), 0.55)
    stage.shade(core, stage.edge(core, 1.6, 0.6))
    for _ in range(90):
        a, b = rng.uniform(-8, 5.5), rng.normal(0, 0.42, 3) * (gauge + 1.2)
        wisp = curve(
            [(x + b[0], y + a - 1.5), (x + b[1] * 1.2, y + a), (x + b[2], y + a + 2.0)], steps=4
        )
        stage.stroke(wisp, 0.09, (0.97, 0.95, 0.90), 0.9)


BRIDGE_TOP = -38.0
BRIDGE_SIDE = ((0, -38), (16, -37), (20, -30), (19, -20), (23, -8), (31, 2), (34, 12), (34, 18))
BRIDGE_ARCH = ((17, 18), (14, 8), (0, 3))
BRIDGE_SPOTS = {
    "bridge_foot_gap": ("line", ((-31.0, 18.4), (-17.0, 18.4))),
    "worn_notch": ("point", ((6.0, BRIDGE_TOP + 2.2),)),
    "wheel_cover": ("point", ((0.0, -66.0),)),
}


def draw_bridge(stage: Stage) -> None:
    """Draw the main bridge from the tail: arched foot, two notches, one foot that lifts."""
    board(stage, -52.0)
    hoop = np.linspace(np.pi, 0, 60)
    arch = np.stack((80 * np.cos(hoop), -10 - 70 * np.sin(hoop) ** 0.8), 1)
    region = stage.region(np.concatenate((arch, [(80, -6), (-80, -6)])))
    x, _ = stage.grid(region)
    light = (0.50 + 0.30 * np.sqrt(np.clip(1 - (x / 84) ** 2, 0, 1)) - 0.16 * x / 84).astype(
        np.float32
    )
    cover = Make(maple, bevel_mm=3.0, lift_mm=8.0, relief=0.5)
    stage.solid(cover, np.concatenate((arch, [(80, -6), (-80, -6)])), light=light)
    stage.stroke(arch * (0.97, 0.97), 3.0, parts.INK, 0.8)
    stage.stroke(arch * (0.97, 0.97), 1.2, (0.84, 0.76, 0.60), 0.8)
    inner = np.stack((66 * np.cos(hoop), -6 - 54 * np.sin(hoop) ** 0.8), 1)
    parts.hole(stage, inner, thick_mm=3.0)
    disc = np.stack((60 * np.cos(hoop), -6 - 44 * np.sin(hoop)), 1)
    rim = Make(boxwood, bevel_mm=4.0, shadow=0.0, relief=0.5, tint=(0.50, 0.45, 0.36))
    stage.solid(rim, disc)
    stage.solid(
        Make(maple, bevel_mm=1.0, shadow=0.0, tint=(0.40, 0.41, 0.44)), disc * 0.9 - (0, 0.6)
    )
    _bridge_body(stage)
    for side, x_mm in ((-1, -6.0), (1, 6.0)):
        parts.string(stage, [(x_mm * 0.9, -58), (x_mm, BRIDGE_TOP + 1.6)], 0.9, lift_mm=1.0)
        parts.string(stage, [(x_mm, BRIDGE_TOP + 1.6), (x_mm + 3 * side, 140)], 1.0, lift_mm=9.0)


def _bridge_body(stage: Stage) -> None:
    """Cut the bridge: a waisted board on two feet, a heart through it, a thin bearing edge."""
    shape = mirrored_across(
        np.concatenate((curve(BRIDGE_SIDE, steps=8), curve(BRIDGE_ARCH, steps=8)))
    )
    make = Make(boxwood, along="x", bevel_mm=2.6, lift_mm=10.0, relief=0.9, tint=(0.93, 0.84, 0.74))
    heart = curve(
        [(0, -8), (6, -16), (4, -21), (0, -18), (-4, -21), (-6, -16)], closed=True, steps=6
    )
    region = stage.solid(make, shape, holes=[heart])
    marks.grime(stage, region, 0.12)
    parts.hole(stage, heart, thick_mm=3.4)
    stage.solid(
        replace(make, bevel_mm=1.0, lift_mm=0.6, tint=(1.05, 1.0, 0.92)),
        box(-16.5, BRIDGE_TOP - 1.5, 16.5, BRIDGE_TOP + 2.0, 1.2),
    )
    for x in (-6.0, 6.0):
        deep = 5.2 if x > 0 and not stage.mended else 2.6
        notch = [(x - 1.3, BRIDGE_TOP - 1.8), (x, BRIDGE_TOP + deep), (x + 1.3, BRIDGE_TOP - 1.8)]
        stage.lay(stage.region(notch), parts.INK, 0.85)
    stage.stroke([(14, 18.3), (34, 18.3)], 0.5, parts.INK, 0.6)
    low = 18.35 if stage.mended else 19.5
    stage.lay(stage.region([(-34.5, 18), (-34.5, low), (-15, 18.4), (-15, 17.8)]), marks.DARK, 0.95)
