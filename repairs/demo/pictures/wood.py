"""Surfaces: how spruce, maple, ebony, bone, iron and cloth look when the light falls on them.

Every surface is a function of (shape in pixels, pixels per millimetre, generator) that answers
with colours in 0..1, the grain running along the rows. Sizes below are in millimetres.
"""

from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from repairs.demo.pictures.texture import Plane, field, mixed, resized, smoothstep, tinted

Colours = NDArray[np.floating[Any]]
Surface = Callable[[tuple[int, int], float, np.random.Generator], Colours]
Rgb = tuple[float, float, float]

LOOKUP_STEP_MM = 0.02


def _noise(
    shape: tuple[int, int], ppm: float, cell_mm: tuple[float, float], rng: np.random.Generator
) -> Plane:
    return field(shape, (cell_mm[0] * ppm, cell_mm[1] * ppm), rng)


def _rings(length_mm: float, ring_mm: float, ppm: float, rng: np.random.Generator) -> Plane:
    """Return the darkness of the year rings along a line: slow rise to late wood, sharp end."""
    count = int(length_mm / ring_mm * 2.2) + 12
    knots = np.arange(0, count + 9, 9)
    slow = np.interp(np.arange(count), knots, rng.normal(0, 0.22, len(knots)))
    widths = ring_mm * np.exp(slow + rng.normal(0, 0.13, count))
    starts = np.concatenate(([0.0], np.cumsum(widths)))
    strength = rng.uniform(0.65, 1.0, count)
    place = np.arange(0.0, length_mm, LOOKUP_STEP_MM)
    ring = np.clip(np.searchsorted(starts, place, side="right") - 1, 0, count - 1)
    share = ((place - starts[ring]) / widths[ring]).astype(np.float32)
    dark = (0.14 * share + 0.86 * smoothstep(0.56, 0.90, share)) * strength[ring]
    dark *= 1.0 - smoothstep(0.91, 1.0, share)
    span = max(1, round(0.8 / ppm / LOOKUP_STEP_MM))
    return np.convolve(dark, np.ones(span) / span, mode="same").astype(np.float32)


def _along_rings(
    shape: tuple[int, int], ppm: float, ring_mm: float, rng: np.random.Generator
) -> Plane:
    """Return ring darkness over a board whose rings wander slowly along its length."""
    height, width = shape
    sway = 0.9 * _noise(shape, ppm, (35.0, 160.0), rng) + 0.12 * _noise(
        shape, ppm, (6.0, 28.0), rng
    )
    across = np.arange(height, dtype=np.float32)[:, None] / ppm + sway + 8.0
    table = _rings(height / ppm + 20.0, ring_mm, ppm, rng)
    index = np.clip(across / LOOKUP_STEP_MM, 0, len(table) - 1).astype(np.int32)
    return table[index].reshape(height, width)


def spruce(
    shape: tuple[int, int],
    ppm: float,
    rng: np.random.Generator,
    *,
    early: Rgb = (0.80, 0.60, 0.36),
    late: Rgb = (0.52, 0.32, 0.15),
    ring_mm: float = 1.35,
) -> Colours:
    """Return quartered spruce under old oil varnish: straight lines, silk across them."""
    rings = _along_rings(shape, ppm, ring_mm, rng)
    silk = np.maximum(_noise(shape, ppm, (3.5, 0.8), rng) - 1.1, 0.0)
    fibre = _noise(shape, ppm, (0.22, 9.0), rng)
    patina = _noise(shape, ppm, (45.0, 90.0), rng)
    colour = mixed(early, late, 0.80 * rings + 0.08 * fibre + 0.06 * patina)
    colour *= (1.0 + 0.026 * fibre + 0.045 * silk + 0.035 * patina)[..., None]
    return colour


def maple(
    shape: tuple[int, int],
    ppm: float,
    rng: np.random.Generator,
    *,
    light: Rgb = (0.74, 0.46, 0.22),
    dark: Rgb = (0.40, 0.19, 0.08),
    flame: float = 1.0,
) -> Colours:
    """Return flamed maple: bands that stand across the grain and waver, with fine flecks."""
    width = shape[1]
    along = np.arange(width, dtype=np.float32)[None, :] / ppm
    sway = 0.50 * _noise(shape, ppm, (34.0, 26.0), rng) + 0.10 * _noise(shape, ppm, (7.0, 9.0), rng)
    waves = np.sin(2.0 * np.pi * (along / 7.5 + sway))
    bands = 0.55 * waves + 0.45 * _noise(shape, ppm, (24.0, 2.4), rng)
    bands *= 0.75 + 0.35 * _noise(shape, ppm, (50.0, 60.0), rng)
    fibre = _noise(shape, ppm, (0.25, 11.0), rng)
    flecks = np.maximum(_noise(shape, ppm, (0.45, 2.2), rng) - 1.5, 0.0)
    lines = _along_rings(shape, ppm, 3.2, rng)
    patina = _noise(shape, ppm, (40.0, 60.0), rng)
    share = 0.42 - 0.17 * flame * np.tanh(1.3 * bands) + 0.16 * lines + 0.035 * fibre
    return mixed(light, dark, share + 0.10 * flecks + 0.05 * patina)


def walnut(
    shape: tuple[int, int],
    ppm: float,
    rng: np.random.Generator,
    *,
    light: Rgb = (0.47, 0.30, 0.18),
    dark: Rgb = (0.21, 0.12, 0.07),
) -> Colours:
    """Return brown wood with long streaks and open pores: keybox, pegbox, tailpiece."""
    streaks = _noise(shape, ppm, (2.6, 70.0), rng) + 0.6 * _noise(shape, ppm, (0.8, 35.0), rng)
    pores = np.maximum(_noise(shape, ppm, (0.22, 3.2), rng) - 1.25, 0.0)
    patina = _noise(shape, ppm, (18.0, 30.0), rng)
    return mixed(light, dark, 0.45 + 0.17 * streaks + 0.26 * pores + 0.07 * patina)


def boxwood(
    shape: tuple[int, int],
    ppm: float,
    rng: np.random.Generator,
    *,
    light: Rgb = (0.80, 0.62, 0.38),
    dark: Rgb = (0.52, 0.34, 0.17),
) -> Colours:
    """Return close-grained pale wood: pegs, key shanks, cleats, the bridge."""
    streaks = _noise(shape, ppm, (1.4, 30.0), rng) + 0.5 * _noise(shape, ppm, (0.4, 12.0), rng)
    flecks = np.maximum(_noise(shape, ppm, (0.3, 1.3), rng) - 1.3, 0.0)
    return mixed(light, dark, 0.32 + 0.13 * streaks + 0.22 * flecks)


def bone(shape: tuple[int, int], ppm: float, rng: np.random.Generator) -> Colours:
    """Return yellowed bone: short dark canals, handled edges a little browner."""
    canals = np.maximum(_noise(shape, ppm, (0.25, 2.4), rng) - 1.2, 0.0)
    cloud = _noise(shape, ppm, (5.0, 9.0), rng)
    return mixed((0.93, 0.87, 0.73), (0.66, 0.52, 0.33), 0.16 + 0.13 * cloud + 0.30 * canals)


def iron(shape: tuple[int, int], ppm: float, rng: np.random.Generator) -> Colours:
    """Return forged iron, brown where the hand does not reach."""
    rust = smoothstep(0.2, 1.8, _noise(shape, ppm, (3.0, 4.0), rng))
    pits = _noise(shape, ppm, (0.5, 0.7), rng)
    colour = mixed((0.36, 0.35, 0.34), (0.36, 0.22, 0.14), rust)
    return colour * (1.0 + 0.06 * pits)[..., None]


def paper(shape: tuple[int, int], ppm: float, rng: np.random.Generator) -> Colours:
    """Return laid paper two and a half centuries old, foxed and browned."""
    height = shape[0]
    laid = np.sin(np.arange(height, dtype=np.float32) / ppm * 2.0 * np.pi / 1.1)[:, None]
    cloud = _noise(shape, ppm, (14.0, 18.0), rng) + 0.5 * _noise(shape, ppm, (4.0, 5.0), rng)
    fox = smoothstep(1.7, 2.8, _noise(shape, ppm, (1.6, 1.6), rng))
    share = (
        0.28 + 0.02 * laid + 0.15 * cloud + 0.45 * fox + 0.03 * _noise(shape, ppm, (0.3, 1.0), rng)
    )
    return mixed((0.90, 0.82, 0.65), (0.55, 0.40, 0.24), share)


def cloth(shape: tuple[int, int], ppm: float, rng: np.random.Generator) -> Colours:
    """Return warm grey linen with slubs both ways and slow folds.

    The tones are fibres of a few pixels whatever the enlargement, because a weave finer
    than the pixels would only beat with them.
    """
    half = 2 if ppm > 5.0 else 1
    whole, shape = shape, ((shape[0] + 1) // half, (shape[1] + 1) // half)
    fine = max(1.1, 0.26 * ppm / half)
    weft = field(shape, (fine, fine * 11), rng) + 0.45 * field(shape, (fine * 1.5, fine * 60), rng)
    warp = field(shape, (fine * 11, fine), rng) + 0.35 * field(shape, (fine * 60, fine * 1.5), rng)
    folds = field(shape, (shape[0] / 2.4, shape[1] / 3.6), rng)
    tone = 1.0 + 0.015 * weft + 0.014 * warp + 0.028 * folds
    tone = resized(tone.astype(np.float32), whole[::-1], Image.Resampling.BICUBIC)
    return tinted(tone, toned(0.775, 0.745, 0.690))


def book_matched(
    shape: tuple[int, int], ppm: float, rng: np.random.Generator, *, surface: Surface
) -> Colours:
    """Return two halves of one board opened like a book along the middle."""
    half = surface(((shape[0] + 1) // 2, shape[1]), ppm, rng)
    return np.concatenate((half[::-1], half))[: shape[0]]


def toned(red: float, green: float, blue: float) -> Colours:
    """Return one colour, or a tint to multiply by, as an array."""
    return np.array((red, green, blue), dtype=np.float32)


def plain(shape: tuple[int, int], rng: np.random.Generator, *, tone: Rgb) -> Colours:
    """Return one colour with a breath of unevenness, so that no surface is dead flat."""
    uneven = 1.0 + 0.02 * field(shape, (2.0, 2.0), rng)
    return tinted(uneven, toned(*tone))


ebony: Surface = partial(walnut, light=(0.16, 0.13, 0.115), dark=(0.07, 0.055, 0.05))
bare_spruce: Surface = partial(spruce, early=(0.74, 0.60, 0.42), late=(0.55, 0.41, 0.26))
pear: Surface = partial(walnut, light=(0.56, 0.33, 0.19), dark=(0.33, 0.17, 0.09))
brass: Surface = partial(boxwood, light=(0.80, 0.66, 0.36), dark=(0.48, 0.36, 0.16))
