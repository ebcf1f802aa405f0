"""Damage and wear, and how the same place looks once it has been mended."""

import numpy as np

from repairs.demo.pictures.shapes import Outline, Pairs, curve, even, oval, ribbon
from repairs.demo.pictures.stage import Points, Region, Stage
from repairs.demo.pictures.texture import field
from repairs.demo.pictures.wood import Surface, bare_spruce, toned

DARK = (0.085, 0.055, 0.035)


def crack(stage: Stage, points: Pairs, width_mm: float = 0.6, *, name: str = "") -> None:
    """Draw an open crack that follows the grain: it steps, widens, and closes at its ends.

    Mended, only a fine line remains.
    """
    rng = stage.fresh()
    path = _wandering(points, rng)
    if stage.is_mended(name):
        stage.stroke(path, 0.22, (0.36, 0.22, 0.11), 0.40)
        return
    share = np.linspace(0.0, 1.0, len(path))
    slow = np.interp(share, np.linspace(0, 1, 9), rng.uniform(0.35, 1.0, 9))
    rough = 1.0 + 0.22 * rng.standard_normal(len(path))
    taper = np.minimum(1.0, 5.0 * np.minimum(share, 1.0 - share)) ** 0.8
    widths = np.maximum(width_mm * taper * slow * np.clip(rough, 0.4, 1.6), 0.06)
    gap = stage.region(ribbon(path, widths + 0.3 / stage.ppm))
    stage.shadow(gap, 0.7 * width_mm, 0.5)
    lit = np.array((0.0, 0.5 * width_mm * (-1.0 if stage.frame.flipped else 1.0)))
    stage.stroke(path + lit, 0.16, (0.95, 0.83, 0.62), 0.35)
    stage.lay(gap, DARK, 0.95)
    for place in rng.integers(2, max(3, len(path) - 12), 3 if len(path) > 30 else 0):
        side = np.array((0.0, rng.choice((-0.55, 0.55)) * width_mm))
        splinter = path[place : place + 9] + side
        stage.stroke(splinter, 0.12, DARK, 0.7)


def _wandering(points: Pairs, rng: np.random.Generator) -> Outline:
    line = even(np.asarray(points, dtype=np.float64), 0.7, closed=False)
    steps = rng.choice((-0.24, 0.24), len(line)) * (rng.uniform(0, 1, len(line)) < 0.10)
    drift = np.cumsum(steps)
    drift -= np.linspace(drift[0], drift[-1], len(line))
    line[:, 1] += drift + rng.normal(0, 0.035, len(line))
    return line


def worm_holes(stage: Stage, area: Points, count: int = 14) -> None:
    """Pierce flight holes of the furniture beetle inside `area`, with a little fresh dust.

    Mended, they are filled with toned wax.
    """
    rng = stage.fresh()
    corners = np.asarray(area, dtype=np.float64)
    low, high = corners.min(axis=0), corners.max(axis=0)
    middle, reach = (low + high) / 2, (high - low) / 2
    for _ in range(count):
        angle, spread = rng.uniform(0, 2 * np.pi), np.sqrt(rng.uniform(0, 1)) * 0.88
        place = middle + reach * spread * (np.cos(angle), np.sin(angle))
        _flight_hole(stage, (float(place[0]), float(place[1])), rng)


def _flight_hole(stage: Stage, place: tuple[float, float], rng: np.random.Generator) -> None:
    radius = rng.uniform(0.62, 1.05)
    if stage.mended:
        stage.dot(place, radius, (0.38, 0.22, 0.11))
        return
    for _ in range(rng.integers(3, 14)):
        grain = rng.normal((place[0] + 0.5, place[1] + radius + 0.5), (0.8, 0.5))
        stage.dot((float(grain[0]), float(grain[1])), rng.uniform(0.10, 0.26), (0.80, 0.68, 0.47))
    stage.dot((place[0] + 0.10, place[1] + 0.12), radius + 0.08, (0.60, 0.38, 0.20))
    stage.dot(place, radius, DARK)


def scratches(stage: Stage, area: tuple[float, float, float, float], count: int) -> None:
    """Scatter fine pale scratches over a box (left, top, right, bottom)."""
    rng = stage.fresh()
    left, top, right, bottom = area
    for _ in range(count):
        start = np.array((rng.uniform(left, right), rng.uniform(top, bottom)))
        angle, length = rng.normal(0.35, 0.7), rng.uniform(3, 24)
        end = start + length * np.array((np.cos(angle), np.sin(angle)))
        bend = (start + end) / 2 + rng.normal(0, 0.04 * length, 2)
        line = curve(np.stack((start, bend, end)), steps=6)
        stage.stroke(line, rng.uniform(0.05, 0.16), (0.95, 0.82, 0.60), rng.uniform(0.25, 0.7))


def worn(
    stage: Stage, centre: tuple[float, float], radii: tuple[float, float], amount: float
) -> None:
    """Rub the varnish thin over an oval: paler and greyer wood shows in patches."""
    region = stage.region(oval(centre, (radii[0] * 1.7, radii[1] * 1.7)))
    rng = stage.fresh()
    if not region.mask.size:
        return
    x, y = stage.grid(region)
    far = ((x - centre[0]) / radii[0]) ** 2 + ((y - centre[1]) / radii[1]) ** 2
    soft = np.exp(-0.9 * far * np.sqrt(far))
    cell = 4.0 * stage.ppm
    patchy = np.clip(soft * (1.1 + 0.30 * field(region.shape, (cell, cell * 2), rng)), 0, 1)
    height, width = region.shape
    view = stage.canvas[region.y : region.y + height, region.x : region.x + width]
    pale = view * toned(1.18, 1.20, 1.25) + 0.04
    stage.lay(Region(region.x, region.y, patchy.astype(np.float32)), pale, amount)


def chipped(stage: Stage, outline: Points, surface: Surface = bare_spruce) -> None:
    """Break a piece away: bare wood lies lower, in the shadow of the edge around it.

    Mended, a new piece fills the place and only its joint shows.
    """
    region = stage.region(outline)
    stage.fresh()
    if not region.mask.size or stage.mended:
        stage.fresh()
        return
    colours = stage.texture(region, surface)
    colours = colours * (2.0 - stage.edge(region, 1.4, 1.1))[..., None]
    stage.lay(region, colours * toned(0.98, 0.92, 0.84))
    stage.stroke(np.concatenate((np.asarray(outline), np.asarray(outline)[:1])), 0.3, DARK, 0.6)


def grime(stage: Stage, region: Region, amount: float) -> None:
    """Let dirt gather unevenly over a region."""
    rng = stage.fresh()
    if not region.mask.size:
        return
    cell = 16.0 * stage.ppm
    cloud = field(region.shape, (cell, cell * 1.7), rng) + 0.5 * field(
        region.shape, (cell / 4, cell / 3), rng
    )
    stage.shade(region, 1.0 - amount * np.clip(0.35 + 0.5 * cloud, 0.0, 1.2))


def rosin_dust(stage: Stage, centre: tuple[float, float], radii: tuple[float, float]) -> None:
    """Let white rosin dust settle round the wheel."""
    region = stage.region(oval(centre, (radii[0] * 1.7, radii[1] * 1.3)))
    rng = stage.fresh()
    if not region.mask.size:
        return
    x, y = stage.grid(region)
    far = ((x - centre[0]) / radii[0]) ** 2 + (((y - centre[1]) / radii[1]) ** 2) ** 2
    cells = [size * stage.ppm for size in (0.45, 2.6, 11.0)]
    planes = [field(region.shape, (cell, cell * 1.2), rng) for cell in cells]
    speck = np.clip(0.42 + 0.22 * planes[0] + 0.20 * planes[1] + 0.16 * planes[2], 0.0, 1.0)
    amount = np.exp(-1.1 * far) * speck * region.mask * (0.10 if stage.mended else 0.36)
    stage.lay(Region(region.x, region.y, amount.astype(np.float32)), (0.93, 0.90, 0.82))
