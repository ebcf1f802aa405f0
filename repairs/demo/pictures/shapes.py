"""Outlines in millimetres: curves through points, offsets, ovals, bars, spirals."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Outline = NDArray[np.float64]
Pairs = Sequence[tuple[float, float]] | NDArray[np.floating]


def curve(points: Pairs, *, closed: bool = False, steps: int = 12) -> Outline:
    """Return a smooth line through `points` (Catmull-Rom), `steps` pieces between two of them."""
    knots = np.asarray(points, dtype=np.float64)
    if closed:
        knots = np.concatenate((knots[-1:], knots, knots[:2]))
    else:
        ends = (2 * knots[:1] - knots[1:2], 2 * knots[-1:] - knots[-2:-1])
        knots = np.concatenate((ends[0], knots, ends[1]))
    t = np.linspace(0.0, 1.0, steps, endpoint=False)[:, None]
    pieces = []
    for a, b, c, d in zip(knots, knots[1:], knots[2:], knots[3:], strict=False):
        pieces.append(
            0.5
            * (
                2 * b
                + (c - a) * t
                + (2 * a - 5 * b + 4 * c - d) * t**2
                + (3 * b - a - 3 * c + d) * t**3
            )
        )
    line = np.concatenate(pieces)
    return line if closed else np.concatenate((line, knots[-2:-1]))


def mirrored(half: Pairs) -> Outline:
    """Return the closed outline whose one half is given and whose other half is its image."""
    upper = np.asarray(half, dtype=np.float64)
    return np.concatenate((upper * (1.0, -1.0), upper[::-1]))


def mirrored_across(half: Pairs) -> Outline:
    """Return the closed outline whose right half is given and whose left half is its image."""
    right = np.asarray(half, dtype=np.float64)
    return np.concatenate((right, right[::-1] * (-1.0, 1.0)))


def inset(outline: Outline, distance_mm: float) -> Outline:
    """Return a closed outline moved inwards along its normals."""
    ahead, behind = np.roll(outline, -2, axis=0), np.roll(outline, 2, axis=0)
    along = ahead - behind
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    normal = np.stack((-along[:, 1], along[:, 0]), axis=1)
    x, y = outline.T
    area = np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)
    return outline + normal * distance_mm * np.sign(area)


def even(line: Outline, step_mm: float, *, closed: bool = True) -> Outline:
    """Return the line with points at equal steps along it."""
    path = np.concatenate((line, line[:1])) if closed else line
    lengths = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))))
    count = max(4, round(lengths[-1] / step_mm))
    places = np.linspace(0.0, lengths[-1], count, endpoint=not closed)
    return np.stack([np.interp(places, lengths, path[:, k]) for k in (0, 1)], axis=1)


def oval(centre: tuple[float, float], radii: tuple[float, float], tilt_deg: float = 0.0) -> Outline:
    """Return an ellipse, turned by `tilt_deg`."""
    turn = np.linspace(0.0, 2.0 * np.pi, 72, endpoint=False)
    ring = np.stack((radii[0] * np.cos(turn), radii[1] * np.sin(turn)), axis=1)
    return turned(ring, tilt_deg) + centre


def turned(points: Pairs, degrees: float, about: tuple[float, float] = (0.0, 0.0)) -> Outline:
    """Return `points` turned about a place."""
    angle = np.radians(degrees)
    spin = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    return (np.asarray(points, dtype=np.float64) - about) @ spin + about


def box(left: float, top: float, right: float, bottom: float, round_mm: float = 0.0) -> Outline:
    """Return a rectangle, its corners rounded by `round_mm`."""
    r = min(round_mm, (right - left) / 2, (bottom - top) / 2)
    if r <= 0:
        return np.array([(left, top), (right, top), (right, bottom), (left, bottom)], float)
    turn = np.linspace(0.0, np.pi / 2, 7)
    centres = [
        (right - r, bottom - r),
        (left + r, bottom - r),
        (left + r, top + r),
        (right - r, top + r),
    ]
    arcs = [
        np.stack((np.cos(turn + k * np.pi / 2), np.sin(turn + k * np.pi / 2)), axis=1) * r + centre
        for k, centre in enumerate(centres)
    ]
    return np.concatenate(arcs)


def ribbon(line: Pairs, widths: Sequence[float] | NDArray[np.floating] | float) -> Outline:
    """Return the outline of a band that follows `line` and is `widths` wide at its points."""
    path = np.asarray(line, dtype=np.float64)
    along = np.gradient(path, axis=0)
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    normal = np.stack((-along[:, 1], along[:, 0]), axis=1)
    half = np.broadcast_to(np.asarray(widths, dtype=np.float64), len(path))[:, None] / 2
    return np.concatenate((path + normal * half, (path - normal * half)[::-1]))
