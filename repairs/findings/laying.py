"""Lays a map of parts over a photo by a few places that were tapped in both; pure mathematics.

The fit is affine (turn, size, shear, place: six unknowns) by least squares on points about their
middle. A homography has eight unknowns and passes through the errors of four taps, which makes it
worse where nobody tapped; an affine map is off by 5 mm (median) on a photo that leans by 5°
(simulation with a finger of 2 mm, an instrument 3 mm off the map, a camera at 1.2 m).

Some anchors stand at a widest or narrowest place: how wide it is can be seen, where along it not.
They may slide up and down the map while the fit is made (only fronts and backs have such, head up).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from repairs.gauges.base.arrays import NDArray, np

Point = tuple[float, float]
Six = tuple[float, float, float, float, float, float]

LEAST = 4
REACH_MM = 20.0  # how far along its edge a widest place may be sought
ROUNDS = 12
MOST_OFF_MM = 8.0  # above it, a proposal of parts is a guess: simulated taps lie at 2 to 5 mm


class CannotLayError(ValueError):
    """Too few places, or all of them in one line: no map can be laid by them."""


@dataclass(frozen=True)
class Anchor:
    """A place of a map that is easy to find: in units of the map; ``slides`` up or down."""

    at: Point
    slides: bool = False


@dataclass(frozen=True)
class Laid:
    """How a map lies on a photo: a to f of x′ = ax + cy + e, y′ = bx + dy + f, both ways.

    ``to_map`` takes shares of the photo's width and height to units of the map, ``to_photo`` back.
    ``off_mm`` is the root mean square of what the tapped places miss, on the instrument.
    """

    to_map: Six
    to_photo: Six
    off_mm: float


def lay(
    anchors: Mapping[str, Anchor],
    taps: Mapping[str, Point],
    *,
    size_px: tuple[int, int],
    mm_per_unit: float,
) -> Laid:
    """Lay the map by ``taps``: names of anchors with their places in shares of the photo.

    Raises CannotLayError for fewer than four known anchors, or places that span no area.
    """
    names = [name for name in taps if name in anchors]
    if len(names) < LEAST:
        raise CannotLayError("at least four places are needed")
    wide, high = size_px
    photo = np.array([(taps[name][0] * wide, taps[name][1] * high) for name in names])
    drawn = np.array([anchors[name].at for name in names], dtype=float)
    _check_area(photo)
    _check_area(drawn)
    slides = [anchors[name].slides for name in names]
    drawn = _slid(drawn, photo, slides, REACH_MM / mm_per_unit)
    back, forth = _affine(photo, drawn), _affine(drawn, photo)
    misses = np.linalg.norm(_laid(back, photo) - drawn, axis=1)
    off_mm = float(np.sqrt(np.mean(misses**2))) * mm_per_unit
    return Laid(_six(back, across=(wide, high)), _six(forth, down=(wide, high)), off_mm)


def _check_area(points: NDArray[np.float64]) -> None:
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if spread[1] < 0.02 * spread[0] or spread[0] == 0:
        raise CannotLayError("the places lie in one line")


def _affine(source: NDArray[np.float64], target: NDArray[np.float64]) -> NDArray[np.float64]:
    """The 2 × 3 matrix of the affine map from source to target, by least squares."""
    middle, scale = source.mean(axis=0), float(np.abs(source - source.mean(axis=0)).mean()) or 1.0
    near = (source - middle) / scale
    rows = np.column_stack([near, np.ones(len(near))])
    found, *_rest = np.linalg.lstsq(rows, target, rcond=None)
    turn = found[:2].T / scale
    return np.column_stack([turn, found[2] - turn @ middle])


def _laid(matrix: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    return points @ matrix[:, :2].T + matrix[:, 2]


def _slid(
    drawn: NDArray[np.float64],
    photo: NDArray[np.float64],
    slides: Sequence[bool],
    reach: float,
) -> NDArray[np.float64]:
    """The anchors after those that slide have found their place along the axis of the map."""
    moved = drawn.copy()
    for _round in range(ROUNDS):
        forth = _affine(moved, photo)
        along = forth[:, 1]
        step = (photo - _laid(forth, moved)) @ along / float(along @ along)
        wanted = np.clip(moved[:, 1] + step, drawn[:, 1] - reach, drawn[:, 1] + reach)
        moved[:, 1] = np.where(slides, wanted, drawn[:, 1])
    return moved


def _six(
    matrix: NDArray[np.float64],
    *,
    across: tuple[float, float] = (1, 1),
    down: tuple[float, float] = (1, 1),
) -> Six:
    """The matrix for shares of a photo that is ``across`` pixels large, or into one so ``down``."""
    (a, c, e), (b, d, f) = matrix.tolist()
    wide, high = across
    turned = (a * wide / down[0], b * wide / down[1], c * high / down[0], d * high / down[1])
    six = (*turned, e / down[0], f / down[1])
    if not all(math.isfinite(one) for one in six):
        raise CannotLayError("the places lie in one line")
    return six
