"""Small parts that several instruments share: strings, pegs, purfling, holes, carving."""

from dataclasses import replace

import numpy as np

from repairs.demo.pictures.shapes import Outline, box, curve, even, inset, oval, ribbon
from repairs.demo.pictures.stage import Make, Points, Region, Stage
from repairs.demo.pictures.texture import Plane, smoothstep
from repairs.demo.pictures.wood import Rgb, bone, boxwood, ebony, iron, walnut

GUT: Rgb = (0.83, 0.69, 0.45)
WOUND: Rgb = (0.66, 0.63, 0.60)
INK: Rgb = (0.10, 0.07, 0.05)
PEG = Make(boxwood, along="y", bevel_mm=3.4, lift_mm=4.0, relief=0.9, tint=(0.62, 0.50, 0.42))
BONE = Make(bone, bevel_mm=1.0, lift_mm=1.2, relief=0.5)
EBONY = Make(ebony, bevel_mm=1.2, lift_mm=1.6, relief=1.5)


def string(
    stage: Stage, points: Points, gauge_mm: float, *, tone: Rgb = GUT, lift_mm: float = 3.0
) -> None:
    """Stretch a string: its shadow, its round body, the thread of light along it."""
    path = np.asarray(points, dtype=np.float64)
    wide = max(gauge_mm, 1.15 / stage.ppm)
    drop = min(lift_mm, 8.0) * 0.5
    side = stage.away(drop)
    stage.stroke(path + side, wide * 1.5, (0.07, 0.05, 0.04), 0.34)
    red, green, blue = (0.52 * part for part in tone)
    stage.stroke(path, wide, (red, green, blue))
    near = stage.away(-0.16 * wide)
    stage.stroke(path + near, wide * 0.58, tone)
    if gauge_mm > 1.2:
        _windings(stage, path, wide)
    stage.stroke(path + stage.away(-0.26 * wide), wide * 0.20, (1.0, 0.97, 0.90), 0.75)


def _windings(stage: Stage, path: Points, wide: float) -> None:
    """Twist a thick string: dark slanting turns, drawn only when they can be told apart."""
    if stage.ppm * wide < 4.0:
        return
    places = even(np.asarray(path), 0.9, closed=False)
    along = np.gradient(places, axis=0)
    along /= np.hypot(*along.T)[:, None]
    normal = np.stack((-along[:, 1], along[:, 0]), axis=1)
    turns = [
        ribbon(
            [place - 0.5 * wide * out - 0.2 * ahead, place + 0.5 * wide * out + 0.2 * ahead], 0.24
        )
        for place, ahead, out in zip(places, along, normal, strict=True)
    ]
    stage.lay(stage.region(*turns), INK, 0.40)


def peg(stage: Stage, foot: tuple[float, float], out: float, *, make: Make = PEG) -> None:
    """Set a peg lying across the pegbox, its leaf-shaped head pointing `out` (+1 down, -1 up)."""
    x, y = foot
    shank = [(x, y - 6 * out), (x, y + 15 * out)]
    stage.solid(make, ribbon(shank, [5.2, 7.2]))
    collar = box(
        x - 5.4, min(y + 13 * out, y + 16 * out), x + 5.4, max(y + 13 * out, y + 16 * out), 1.2
    )
    stage.solid(replace(make, lift_mm=1.0), collar)
    half = [(0, 16), (5.0, 17.5), (8.6, 23), (9.2, 28), (7.0, 33), (2.6, 36.2), (0, 36.6)]
    leaf = curve([(x + a, y + b * out) for a, b in half], steps=6)
    other = curve([(x - a, y + b * out) for a, b in half], steps=6)
    stage.solid(make, np.concatenate((leaf, other[::-1])))
    stage.dot((x, y + 34.6 * out), 1.3, (0.88, 0.82, 0.68))


def peg_end(stage: Stage, centre: tuple[float, float], radius: float = 6.2) -> None:
    """Set a peg seen on its end: a turned disc with a bone button."""
    stage.solid(replace(PEG, along="x", lift_mm=6.0), oval(centre, (radius, radius)))
    stage.solid(replace(PEG, bevel_mm=1.4, lift_mm=0.8), oval(centre, (radius * 0.62,) * 2))
    stage.solid(replace(BONE, lift_mm=0.4), oval(centre, (1.5, 1.5)))


def purfling(
    stage: Stage,
    outline: Outline,
    *,
    edge_mm: float,
    wide_mm: float,
    lost: tuple[float, float] | None = None,
) -> None:
    """Set an edging of ebony and bone blocks in turn, between two dark lines.

    Three blocks are lost next to the place `lost`, until they are mended.
    """
    outer, inner = (inset(even(outline, 5.2), edge_mm + d) for d in (0.0, wide_mm))
    ahead = (np.roll(line, -1, axis=0) for line in (outer, inner))
    rows = np.stack((outer, *ahead, inner), axis=1)
    nearest = int(np.argmin(np.hypot(*(outer - np.array(lost or (0, 0))).T)))
    missing = range(nearest - 1, nearest + 2) if lost and not stage.is_mended("lost_edging") else ()
    whole = stage.region(outer, holes=[inner])
    stage.lay(whole, (0.115, 0.09, 0.075))
    for start, tone in ((0, (0.86, 0.79, 0.64)), (2, (0.79, 0.71, 0.55))):
        light = [rows[k] for k in range(start, len(rows), 4) if k not in missing]
        stage.lay(stage.region(*light), tone)
    stage.shade(whole, stage.edge(whole, 1.0, 0.45))
    for k in missing:
        bed = stage.region(rows[k])
        stage.lay(bed, (0.47, 0.34, 0.21))
        stage.shade(bed, 2.0 - stage.edge(bed, 1.2, 1.0))
    for line in (outer, inner):
        stage.stroke(np.concatenate((line, line[:1])), 0.5, INK, 0.75)


def inlaid_line(stage: Stage, outline: Outline, *, edge_mm: float) -> None:
    """Set a violin's purfling: black, white, black, two and a half millimetres in all."""
    for shift, wide, tone in ((0.0, 1.5, INK), (0.0, 0.6, (0.80, 0.66, 0.42))):
        line = inset(outline, edge_mm + shift)
        stage.stroke(np.concatenate((line, line[:1])), wide, tone, 0.85)


def hole(stage: Stage, outline: Outline, *, thick_mm: float = 2.6) -> Region:
    """Cut an opening: dark inside, the thickness of the wood lit on the side facing the lamp."""
    region = stage.region(outline)
    if region.mask.size:
        stage.lay(region, (0.075, 0.05, 0.035))
        lip = 2.0 - stage.edge(region, thick_mm, 1.0)
        glow = smoothstep(1.04, 1.7, lip)
        stage.lay(Region(region.x, region.y, region.mask * glow), (0.50, 0.34, 0.19))
    return region


def rosette(stage: Stage, centre: tuple[float, float], radius: float, *, petals: int = 8) -> None:
    """Carve a flower in relief: petals with a groove between, a beaded heart, a rim."""
    make = Make(walnut, bevel_mm=3.0, lift_mm=5.0, relief=0.8)
    region = stage.solid(make, oval(centre, (radius, radius)))
    if not region.mask.size:
        return
    x, y = stage.grid(region)
    height = _flower(x - centre[0], y - centre[1], radius, petals)
    down, right = np.gradient(height * radius * stage.ppm)
    slope = 0.6 * right + 0.8 * down
    stage.shade(region, np.clip(1.0 + 0.75 * slope, 0.35, 1.75))
    stage.shade(region, 0.72 + 0.9 * np.clip(height * 3.2, 0.0, 0.4))


def _flower(x: Plane, y: Plane, radius: float, petals: int) -> Plane:
    """Return the carved height, in shares of the radius."""
    r = np.hypot(x, y) / radius
    angle = np.arctan2(y, x)
    petal = np.abs(np.cos(angle * petals / 2)) ** 0.55
    leaf = (
        petal
        * smoothstep(0.16, 0.42, r)
        * (1.0 - smoothstep(0.68, 0.70 + 0.14, r / (0.72 + 0.28 * petal)))
    )
    heart = np.sqrt(np.clip(1.0 - (r / 0.22) ** 2, 0.0, 1.0)) * (1.0 + 0.12 * np.cos(angle * 9))
    rim = np.exp(-(((r - 0.93) / 0.045) ** 2))
    return (0.15 * leaf + 0.16 * heart + 0.06 * rim).astype(np.float32)


def volute(
    stage: Stage, centre: tuple[float, float], radius: float, *, make: Make, turns: float = 2.3
) -> None:
    """Carve a scroll seen from its side: a channel that winds in to the eye, undercut."""
    region = stage.solid(make, oval(centre, (radius, radius)))
    if not region.mask.size:
        return
    x, y = stage.grid(region)
    r = np.hypot(x - centre[0], y - centre[1])
    angle = np.arctan2(y - centre[1], x - centre[0]) / (2 * np.pi)
    wind = np.log(np.maximum(r, 0.3) / radius) / np.log(0.17) * turns
    phase = np.mod(wind - angle, 1.0)
    channel = np.sin(np.pi * np.minimum(phase / 0.86, 1.0)).clip(0.0) ** 0.7
    bottom = 1.0 - 0.34 * (1.0 - phase) ** 2 - 0.10 * channel
    wall = (
        1.0 - 0.62 * np.exp(-((phase / 0.10) ** 2)) + 0.30 * np.exp(-(((phase - 0.92) / 0.05) ** 2))
    )
    lamp = 1.0 - 0.14 * np.cos(2 * np.pi * angle - 0.9)
    eye = smoothstep(0.15 * radius, 0.18 * radius, r)
    stage.shade(region, ((bottom * wall * lamp) * eye + (1.0 - eye)).astype(np.float32))
    stage.solid(replace(make, lift_mm=1.5, bevel_mm=2.5), oval(centre, (radius * 0.15,) * 2))


def crank(stage: Stage, axle: tuple[float, float], swing_deg: float, reach: float = 62.0) -> None:
    """Set the crank: axle end, S-shaped iron arm, turned knob of bone on its pin."""
    x, y = axle
    metal = Make(iron, bevel_mm=2.2, lift_mm=9.0, relief=1.0, shadow=0.45)
    stage.solid(replace(metal, lift_mm=5.0), ribbon([(x, y), (x + 32, y)], [8.5, 8.5]))
    arm = [(0, 0), (7, 10), (9, 22), (2, 34), (0, 46), (6, 57), (10, reach)]
    path = curve([(x + 30 + a * 0.6, y + b * np.cos(np.radians(swing_deg))) for a, b in arm])
    widths = np.interp(np.linspace(0, 1, len(path)), [0, 0.15, 0.5, 1], [12, 8.5, 6.0, 8.5])
    stage.solid(metal, ribbon(path, widths))
    stage.solid(replace(metal, lift_mm=2.0), oval((x + 30, y), (8.0, 8.0)))
    stage.solid(
        replace(metal, lift_mm=1.0, tint=(1.4, 1.3, 1.2)), box(x + 26, y - 4, x + 34, y + 4, 0.6)
    )
    knob(stage, (float(path[-1, 0]), float(path[-1, 1])))


def knob(stage: Stage, pin: tuple[float, float]) -> None:
    """Turn the handle: a bone pear with rings, lying along the axle."""
    x, y = pin
    half = [
        (-4, 4.5),
        (0, 6.0),
        (4, 5.0),
        (7, 6.6),
        (14, 10.0),
        (24, 12.6),
        (34, 11.6),
        (41, 7.6),
        (44, 0),
    ]
    upper = curve([(x + a, y - b) for a, b in half], steps=6)
    lower = curve([(x + a, y + b) for a, b in half], steps=6)
    make = Make(bone, bevel_mm=11.0, lift_mm=11.0, relief=1.1, shadow=0.45, tint=(0.90, 0.82, 0.68))
    stage.solid(make, np.concatenate((upper, lower[::-1])))
    for place, high in ((3.4, 5.1), (8.6, 7.4), (37.5, 9.6)):
        ring = [(x + place - 0.6, y - high), (x + place + 0.5, y), (x + place - 0.6, y + high)]
        stage.stroke(curve(ring), 0.7, (0.30, 0.20, 0.11), 0.7)
