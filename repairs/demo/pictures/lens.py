"""The camera: a hand-held viewpoint, fall of light, tone, grain of the sensor."""

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageFilter

from repairs.demo.pictures.texture import Plane

MARGIN = 0.04
WORK_SHARE = 0.46
CRISP = (-1, -2, -1, -2, 28, -2, -1, -2, -1)
TONE_STEPS = 2000
Matrix = NDArray[np.float64]


def stage_size(size: tuple[int, int]) -> tuple[int, int]:
    """Return the pixels to draw for a picture of `size`: under half, and a margin to tilt in.

    Small pictures are drawn at their own size, or nothing would be left of them.
    """
    share = WORK_SHARE if max(size) > 2000 else 1.0
    wide, tall = (round(side * share * (1 + 2 * MARGIN)) for side in size)
    return wide, tall


def viewpoint(drawn: tuple[int, int], seed: int) -> Matrix:
    """Return the 3x3 map from the finished picture (0..1, 0..1) to pixels of the drawing."""
    rng = np.random.default_rng((seed, 77))
    spread = MARGIN / (1 + 2 * MARGIN)
    corners = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], dtype=np.float64)
    inner = spread + corners * (1 - 2 * spread)
    angle = rng.uniform(-0.016, 0.016)
    spin = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    inner = (inner - 0.5) @ spin + 0.5 + rng.uniform(-0.008, 0.008, (4, 2))
    return _homography(corners, inner * drawn)


def _homography(source: Matrix, target: Matrix) -> Matrix:
    rows, values = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        values += [u, v]
    return np.append(np.linalg.solve(np.array(rows), np.array(values)), 1.0).reshape(3, 3)


def seen_at(pixels: Matrix, view: Matrix) -> Matrix:
    """Return where points of the drawing stand in the finished picture, in 0..1."""
    ahead = np.column_stack((pixels, np.ones(len(pixels)))) @ np.linalg.inv(view).T
    return ahead[:, :2] / ahead[:, 2:]


def develop(canvas: Plane, size: tuple[int, int], seed: int) -> Image.Image:
    """Return the photograph of a drawing: lit, toned, tilted, enlarged, with sensor grain."""
    height, width = canvas.shape[:2]
    lit = np.clip(canvas * (_light(height, width) * TONE_STEPS)[..., None], 0, 1.3 * TONE_STEPS)
    toned = _tone_table()[lit.astype(np.uint16)]
    drawing = Image.merge("RGB", [Image.fromarray(toned[..., colour]) for colour in range(3)])
    view = viewpoint((width, height), seed)
    small = (size[0], size[1]) if max(size) <= 2000 else (size[0] // 2, size[1] // 2)
    scale = np.diag((1 / small[0], 1 / small[1], 1.0))
    forth = view @ scale
    forth = (forth / forth[2, 2]).ravel()[:8]
    bicubic = Image.Resampling.BICUBIC
    picture = drawing.transform(small, Image.Transform.PERSPECTIVE, tuple(forth), bicubic)
    picture = picture.filter(ImageFilter.Kernel((3, 3), CRISP, scale=16))
    if picture.size != tuple(size):
        picture = picture.resize(size, bicubic)
    return _grained(picture, seed)


def _light(height: int, width: int) -> Plane:
    """Return the fall of light from a window at the upper left, and the lens's dark corners."""
    across = np.linspace(0.0, 1.0, width, dtype=np.float32)[None, :]
    down = np.linspace(0.0, 1.0, height, dtype=np.float32)[:, None]
    window = (across - 0.34) ** 2 + (down - 0.28) ** 2
    corner = ((across - 0.5) ** 2 + (down - 0.5) ** 2) ** 2
    return 1.10 - 0.34 * window - 0.42 * corner


def _tone_table() -> NDArray[np.uint8]:
    """Return how a camera prints each step of light: soft shoulder, slightly deeper shadows."""
    value = np.arange(int(1.3 * TONE_STEPS) + 2) / TONE_STEPS
    value = np.where(value > 0.8, 0.8 + 0.2 * np.tanh((value - 0.8) / 0.2 * 0.9), value)
    value += 0.16 * value * (1 - value) * (2 * value - 1)
    return (np.clip(value, 0.0, 1.0) * 255.0 + 0.5).astype(np.uint8)


def _grained(picture: Image.Image, seed: int) -> Image.Image:
    """Return the picture with sensor grain, laid as tiles whose seams cannot be seen."""
    rng = np.random.default_rng((seed, 78))
    grain = rng.standard_normal((509, 1021, 1)) * 2.4 + rng.standard_normal((509, 1021, 3)) * 0.9
    tile = Image.fromarray(np.clip(grain + 128.5, 0, 255).astype(np.uint8))
    cover = Image.new("RGB", picture.size)
    for row, top in enumerate(range(0, picture.height, tile.height)):
        for left in range(-(row * 389) % tile.width - tile.width, picture.width, tile.width):
            cover.paste(tile, (left, top))
    return ImageChops.add(picture, cover, 1, -128)
