"""Noise and blur on plain arrays: the raw stuff of every surface in the demo pictures."""

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Plane = NDArray[np.floating[Any]]


def resized(plane: Plane, size: tuple[int, int], how: Image.Resampling) -> Plane:
    """Return `plane` stretched to `size` (width, height), in floating point."""
    return np.asarray(Image.fromarray(plane).resize(size, how))


def field(shape: tuple[int, int], cell: tuple[float, float], rng: np.random.Generator) -> Plane:
    """Return smooth noise of mean 0 and deviation near 1 with bumps of `cell` (high, wide) pixels.

    A small random grid is stretched, which costs a hundredth of filtering at full size;
    a cell that is long one way gives wood fibres.
    """
    height, width = shape
    if not height or not width:
        return np.zeros(shape, np.float32)
    tall, wide = max(cell[0], 1.0), max(cell[1], 1.0)
    rows, columns = height / tall, width / wide
    grid = rng.standard_normal((math.ceil(rows) + 3, math.ceil(columns) + 3), dtype=np.float32)
    box = (1.0, 1.0, 1.0 + columns, 1.0 + rows)
    picture = Image.fromarray(grid).resize((width, height), Image.Resampling.BICUBIC, box=box)
    return np.asarray(picture)


def blurred(plane: Plane, sigma: float) -> Plane:
    """Return `plane` softened by about `sigma` pixels, computed small and stretched back."""
    height, width = plane.shape
    if min(height, width) < 2 or sigma < 0.4:
        return plane
    step = max(1, int(sigma / 2))
    small = plane
    if step > 1:
        size = (max(2, round(width / step)), max(2, round(height / step)))
        small = resized(plane, size, Image.Resampling.BOX)
    radius = max(1, round(sigma / step))
    for axis in (0, 1, 0, 1, 0, 1):
        small = _averaged(small, radius, axis)
    if step == 1:
        return small
    return resized(np.ascontiguousarray(small), (width, height), Image.Resampling.BICUBIC)


def _averaged(plane: Plane, radius: int, axis: int) -> Plane:
    """Return the running mean over ``2 * radius + 1`` cells; the edge repeats outwards."""
    widths = [(0, 0), (0, 0)]
    widths[axis] = (radius + 1, radius)
    total = np.cumsum(np.pad(plane, widths, mode="edge"), axis=axis, dtype=np.float32)
    span = 2 * radius + 1
    if axis == 0:
        return (total[span:] - total[:-span]) / span
    return (total[:, span:] - total[:, :-span]) / span


def smoothstep(low: float, high: float, value: Plane) -> Plane:
    """Return 0 below `low`, 1 above `high`, and an S between them."""
    share = np.clip((value - low) / (high - low), 0.0, 1.0)
    return share * share * (3.0 - 2.0 * share)


def mixed(first: tuple[float, ...], second: tuple[float, ...], share: Plane) -> Plane:
    """Return the colour between `first` and `second` at each point of `share` (0..1)."""
    start = np.asarray(first, dtype=np.float32)
    step = np.asarray(second, dtype=np.float32) - start
    colours = tinted(np.clip(share, 0.0, 1.0), step)
    colours += start
    return colours


def tinted(plane: Plane, tone: Plane) -> Plane:
    """Return `tone` at the strength of each point of `plane`, shape (high, wide, 3).

    The three colours lie apart in memory, and so do they in what is reckoned from them:
    arithmetic on long rows takes half the time of arithmetic on threes.
    """
    apart = np.empty((len(tone), *plane.shape), np.result_type(plane, tone))
    return np.multiply(plane[..., None], tone, out=np.moveaxis(apart, 0, -1))
