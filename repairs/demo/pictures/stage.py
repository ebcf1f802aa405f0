"""The stage: a picture measured in millimetres, on which parts are laid from the cloth upwards.

Light comes from the upper left of the picture, whatever way the instrument lies.
"""

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from repairs.demo.pictures.texture import Plane, blurred, tinted
from repairs.demo.pictures.wood import Colours, Rgb, Surface, cloth, plain, toned

Points = Sequence[tuple[float, float]] | NDArray[np.floating]
LIGHT = (0.6, 0.8)
SHADE = np.asarray((0.30, 0.24, 0.18), dtype=np.float32)


@dataclass(frozen=True)
class Frame:
    """What the camera takes in: centre and width in millimetres, and which way up it lies.

    ``mirrored`` turns x round, ``flipped`` y: with the head on the left what lies at y above 0
    is then seen above the axis, and with the head up (``turned``) on the right.
    """

    centre: tuple[float, float]
    width_mm: float
    turned: bool = False
    mirrored: bool = False
    flipped: bool = False

    def pixels(self, points: Points, size: tuple[int, int]) -> NDArray[np.float64]:
        """Return millimetres as pixels of a canvas of `size` (width, height), shape (N, 2)."""
        place = np.asarray(points, dtype=np.float64).reshape(-1, 2) - self.centre
        if self.mirrored:
            place = place * (-1.0, 1.0)
        if self.flipped:
            place = place * (1.0, -1.0)
        if self.turned:
            place = np.stack((-place[:, 1], place[:, 0]), axis=1)
        return place * (size[0] / self.width_mm) + (size[0] / 2, size[1] / 2)


@dataclass(frozen=True)
class Region:
    """A soft-edged patch of the picture: its corner, and how much of each pixel it covers."""

    x: int
    y: int
    mask: Plane

    @property
    def shape(self) -> tuple[int, int]:
        return self.mask.shape[0], self.mask.shape[1]


@dataclass(frozen=True)
class Make:
    """How a part is made: surface, the axis its grain runs along, edge, height, sheen."""

    surface: Surface
    along: str = "x"
    bevel_mm: float = 0.8
    lift_mm: float = 2.0
    relief: float = 0.55
    shadow: float = 0.55
    tint: Rgb = (1.0, 1.0, 1.0)


class Stage:
    """A canvas with a camera above it. Everything drawn is given in millimetres."""

    def __init__(
        self,
        size: tuple[int, int],
        frame: Frame,
        seed: int,
        *,
        mended: bool = False,
        left: Collection[str] = (),
    ) -> None:
        self.width, self.height = size
        self.frame = frame
        self.mended, self.left = mended, left
        self.ppm = self.width / frame.width_mm
        self._seed = seed
        self._draws = 0
        self.canvas: Colours = cloth((self.height, self.width), self.ppm, self.fresh())

    def is_mended(self, name: str) -> bool:
        """Whether the damage of that name was mended, and not left alone by the repair."""
        return self.mended and name not in self.left

    def fresh(self) -> np.random.Generator:
        """Return the next generator. Each part has its own, so leaving one out moves no other."""
        self._draws += 1
        return np.random.default_rng((self._seed, self._draws))

    def px(self, points: Points) -> NDArray[np.float64]:
        """Return millimetres as pixels of this canvas, shape (N, 2)."""
        return self.frame.pixels(points, (self.width, self.height))

    def region(self, *outlines: Points, holes: Iterable[Points] = ()) -> Region:
        """Return the soft-edged area inside `outlines` and outside `holes`."""
        shapes = [self.px(outline) for outline in outlines]
        low, high = self._box(np.concatenate(shapes))
        wide, tall = max(0, high[0] - low[0]), max(0, high[1] - low[1])
        if not wide or not tall:
            return Region(0, 0, np.zeros((0, 0), np.float32))
        fine = 2 if wide * tall > 400_000 else 4
        picture = Image.new("L", (wide * fine, tall * fine))
        pen = ImageDraw.Draw(picture)
        for shape in shapes:
            pen.polygon([tuple(p) for p in (shape - low) * fine], fill=255)
        for hole in holes:
            pen.polygon([tuple(p) for p in (self.px(hole) - low) * fine], fill=0)
        mask = np.asarray(picture.reduce(fine), dtype=np.float32) / 255.0
        return Region(int(low[0]), int(low[1]), mask)

    def _box(self, points: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        limit = (self.width, self.height)
        low = np.clip(np.floor(points.min(axis=0)) - 1, 0, limit).astype(np.int64)
        high = np.clip(np.ceil(points.max(axis=0)) + 2, 0, limit).astype(np.int64)
        return low, high

    def texture(self, region: Region, surface: Surface, along: str = "x") -> Colours:
        """Return the surface for a region, its grain along the axis of the instrument named."""
        height, width = region.shape
        if (along == "y") != self.frame.turned:
            return surface((width, height), self.ppm, self.fresh()).transpose(1, 0, 2)
        return surface((height, width), self.ppm, self.fresh())

    def grid(self, region: Region) -> tuple[Plane, Plane]:
        """Return the millimetre coordinates (x, y) of the region's pixels."""
        height, width = region.shape
        right = (np.arange(width, dtype=np.float32)[None, :] + region.x - self.width / 2) / self.ppm
        down = (
            np.arange(height, dtype=np.float32)[:, None] + region.y - self.height / 2
        ) / self.ppm
        right, down = np.broadcast_arrays(right, down)
        x, y = (down, -right) if self.frame.turned else (right, down)
        x = -x if self.frame.mirrored else x
        y = -y if self.frame.flipped else y
        return x + np.float32(self.frame.centre[0]), y + np.float32(self.frame.centre[1])

    def away(self, distance_mm: float) -> NDArray[np.float64]:
        """Return the step of the instrument's millimetres that leads away from the lamp."""
        right, down = LIGHT[0] * distance_mm, LIGHT[1] * distance_mm
        x, y = (down, -right) if self.frame.turned else (right, down)
        x = -x if self.frame.mirrored else x
        return np.array((x, -y if self.frame.flipped else y))

    @property
    def shaded(self) -> float:
        """Return 1 where the instrument's y grows away from the lamp, -1 where towards it."""
        return 1.0 if self.away(1.0)[1] > 0 else -1.0

    def lay(self, region: Region, colours: Colours | Rgb, opacity: float | Plane = 1.0) -> None:
        """Paint `colours` where the region is."""
        if not region.mask.size:
            return
        height, width = region.shape
        view = self.canvas[region.y : region.y + height, region.x : region.x + width]
        share = (region.mask * np.asarray(opacity, np.float32))[..., None]
        change = np.asarray(colours, dtype=np.float32) - view
        change *= share
        view += change

    def shade(self, region: Region, factor: Plane | float) -> None:
        """Multiply the light inside a region by `factor`."""
        if not region.mask.size:
            return
        height, width = region.shape
        view = self.canvas[region.y : region.y + height, region.x : region.x + width]
        view *= (1.0 + region.mask * (np.float32(factor) - 1.0))[..., None]

    def edge(self, region: Region, bevel_mm: float, strength: float) -> Plane:
        """Return the light on a rounded edge `bevel_mm` wide: bright towards the lamp."""
        width = max(0.8, bevel_mm * self.ppm / 2)
        padded = np.pad(region.mask, 2)
        down, right = np.gradient(blurred(padded, width))
        slope = np.asarray(LIGHT[0] * right + LIGHT[1] * down)
        return 1.0 + np.float32(strength * width * 2.4) * slope[2:-2, 2:-2]

    def shadow(self, region: Region, lift_mm: float, strength: float) -> None:
        """Darken what lies under a part that stands `lift_mm` above it."""
        if not region.mask.size:
            return
        sigma = max(0.8, 0.55 * lift_mm * self.ppm)
        pad = int(3 * sigma) + 2
        soft = blurred(np.pad(region.mask, pad), sigma)
        x = region.x - pad + round(LIGHT[0] * lift_mm * self.ppm * 0.8)
        y = region.y - pad + round(LIGHT[1] * lift_mm * self.ppm * 0.8)
        self._darken(soft, x, y, strength)

    def _darken(self, soft: Plane, x: int, y: int, strength: float) -> None:
        left, top = max(0, x), max(0, y)
        right, bottom = min(self.width, x + soft.shape[1]), min(self.height, y + soft.shape[0])
        if right <= left or bottom <= top:
            return
        part = np.clip(soft[top - y : bottom - y, left - x : right - x], 0.0, 1.0)
        view = self.canvas[top:bottom, left:right]
        view *= 1.0 - tinted(np.float32(strength) * part, 1.0 - SHADE)

    def solid(
        self,
        make: Make,
        *outlines: Points,
        holes: Iterable[Points] = (),
        light: Plane | None = None,
    ) -> Region:
        """Lay a part: its shadow, its surface, its bevelled edge. Answers with its region."""
        region = self.region(*outlines, holes=holes)
        draws = self._draws + 1
        if not region.mask.size:
            self._draws = draws
            return region
        if make.shadow:
            self.shadow(region, make.lift_mm, make.shadow)
        colours = self.texture(region, make.surface, make.along) * toned(*make.tint)
        colours *= self.edge(region, make.bevel_mm, make.relief)[..., None]
        if light is not None:
            colours *= light[..., None]
        self.lay(region, colours)
        return region

    def stroke(self, points: Points, width_mm: float, tone: Rgb, opacity: float = 1.0) -> None:
        """Draw a line of even width, no thinner than the eye can see in the picture."""
        path = self.px(points)
        pixels = width_mm * self.ppm
        wide = max(pixels, 0.9)
        strip = self._strip(path, wide)
        self.lay(strip, tone, opacity * min(1.0, pixels / wide))

    def _strip(self, path: NDArray[np.float64], wide: float) -> Region:
        margin = math.ceil(wide) + 1
        low, high = self._box(np.concatenate((path - margin, path + margin)))
        size = (int(max(0, high[0] - low[0])), int(max(0, high[1] - low[1])))
        if not size[0] or not size[1]:
            return Region(0, 0, np.zeros((0, 0), np.float32))
        picture = Image.new("L", (size[0] * 4, size[1] * 4))
        line = [tuple(p) for p in (path - low) * 4]
        ImageDraw.Draw(picture).line(line, fill=255, width=max(1, round(wide * 4)), joint="curve")
        mask = np.asarray(picture.reduce(4), dtype=np.float32) / 255.0
        return Region(int(low[0]), int(low[1]), mask)

    def glow(self, centre: tuple[float, float], radii: tuple[float, float], amount: float) -> None:
        """Brighten (or, below 0, darken) a soft oval: sheen of varnish, grime, wear."""
        x, y = centre
        reach = 2.6
        box = [
            (x - reach * radii[0], y - reach * radii[1]),
            (x + reach * radii[0], y + reach * radii[1]),
        ]
        low, high = self._box(self.px(box))
        if np.any(high <= low):
            return
        shape = (int(high[1] - low[1]), int(high[0] - low[0]))
        region = Region(int(low[0]), int(low[1]), np.ones(shape, np.float32))
        across, down = self.grid(region)
        distance = ((across - x) / radii[0]) ** 2 + ((down - y) / radii[1]) ** 2
        self.shade(region, 1.0 + np.float32(amount) * np.exp(-distance))

    def dot(self, centre: tuple[float, float], radius_mm: float, tone: Rgb) -> Region:
        """Lay a small round spot of one colour, without shadow."""
        turn = np.linspace(0.0, 2.0 * np.pi, 28, endpoint=False)
        ring = np.stack((np.cos(turn), np.sin(turn)), axis=1) * radius_mm + centre
        region = self.region(ring)
        if region.mask.size:
            self.lay(region, plain(region.shape, self.fresh(), tone=tone))
        return region
