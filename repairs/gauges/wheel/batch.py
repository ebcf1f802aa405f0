"""The same fits for thousands of wheels at once, in step.

Every wheel walks the same exchange as in `roundness`, all wheels that are not done yet together;
figures agree with `wheel_fit.fit` to rounding. The few wheels whose gaps ask for fewer harmonics
are handed to it one by one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from repairs.gauges.base.checks import Floats, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.fit import (
    ENOUGH_FOR_NOISE,
    FOLDING,
    JOINT,
    NORMAL_95,
    NORMAL_999,
    TINY_MM,
    WORST_SPREAD,
    WheelFit,
    chi_square,
    fit,
    fourier_basis,
    most_lobes,
)
from repairs.gauges.wheel.roundness import ACROSS, EPS, MOST_STEPS, TINY

VERSION = "wheel_batch 1"

CHUNK = 1000  # wheels whose matrices are held in memory together
LEAST = 8

Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class WheelBatch:
    """Figures of W wheels, each an array of shape (W,); names and units as in the gauge.

    ``inner_mean_mm`` and ``outer_mean_mm`` are the radii of the inscribed and circumscribed
    limaçon less the mean radius: diameter left after re-centring is the mean diameter and twice
    the former. They are NaN when half of the turn has no reading.
    """

    n: Floats
    tir_mm: Floats
    least_mm: Floats
    noise_mm: Floats
    ecc_mm: Floats
    u_ecc_mm: Floats
    high_spot_deg: Floats
    oval_amp_mm: Floats
    u_oval_amp_mm: Floats
    lsc_ecc_mm: Floats
    lsc_high_spot_deg: Floats
    lsc_roundness_mm: Floats
    mz_roundness_mm: Floats
    inner_mean_mm: Floats
    outer_mean_mm: Floats


NAMES = tuple(field.name for field in fields(WheelBatch))


def fit_many(angles_deg: Floats, readings_mm: Floats, sigma_mm: float) -> WheelBatch:
    """Fit many wheels.

    Parameters
    ----------
    angles_deg : float64 array, shape (N,)
        Angles common to all wheels, distinct on the circle.
    readings_mm : float64 array, shape (W, N)
        Growing with the distance from the axle; NaN where none was taken.
    sigma_mm : float
        Standard deviation of one reading.

    Returns
    -------
    WheelBatch

    Raises
    ------
    GaugeInputError
        ``unequal`` when the shapes do not fit, ``too_few`` when a wheel, named as row, has fewer
        than eight readings.
    """
    sigma = positive("sigma_mm", sigma_mm, most=1.0)
    if readings_mm.ndim != 2 or readings_mm.shape[1] != len(angles_deg):
        raise GaugeInputError(
            "unequal",
            field="readings_mm",
            other="angles_deg",
            value="x".join(map(str, readings_mm.shape)),
            limit=len(angles_deg),
        )
    order = np.argsort(angles_deg % 360)
    theta = np.radians(angles_deg[order] % 360)
    readings = readings_mm[:, order]
    present = np.isfinite(readings)
    counts = present.sum(axis=1)
    if len(counts) and counts.min() < LEAST:
        row = int(counts.argmin()) + 1
        raise GaugeInputError(
            "too_few", field="readings_mm", row=row, value=int(counts.min()), limit=LEAST
        )
    figures = np.empty((len(NAMES), len(readings)))
    for count in np.unique(counts):
        wheels = np.flatnonzero(counts == count)
        for start in range(0, len(wheels), CHUNK):
            chunk = wheels[start : start + CHUNK]
            figures[:, chunk] = _fit_chunk(theta, readings[chunk], present[chunk], sigma)
    return WheelBatch(**dict(zip(NAMES, figures, strict=True)))


def _fit_chunk(theta: Floats, readings: Floats, present: NDArray[np.bool_], sigma: float) -> Floats:
    """Figures, shape (len(NAMES), w), of wheels with as many readings each."""
    wheels = len(readings)
    turns = theta[None, :]
    if not present.all():
        turns = np.broadcast_to(theta, readings.shape)[present].reshape(wheels, -1)
    values = readings[present].reshape(wheels, -1)
    return _refit_uneven(turns, values, sigma, *_fit_even(turns, values, sigma))


def _fit_even(turns: Floats, values: Floats, sigma: float) -> tuple[Floats, Floats]:
    """Figures of all wheels as if none had uneven places, and the spread of each, shape (w,)."""
    count = values.shape[1]
    r = values - values.mean(axis=1, keepdims=True)
    top = most_lobes(count)
    basis = np.stack([fourier_basis(one, max(FOLDING, top)) for one in turns])
    gram = np.swapaxes(basis, 1, 2) @ basis
    sums = (r[:, None, :] @ basis)[:, 0]
    _lobes, off, _inverse, spread = _solve(basis, gram, sums, r, top)
    noise = _noise(off, 1 + 2 * top, sigma)
    joint, off, inverse, _spread = _solve(basis, gram, sums, r, JOINT)
    covariance = noise[:, None, None] ** 2 * inverse + _folded(off, inverse, gram, noise)
    ecc, u_ecc, high = _harmonic(joint, covariance, 1)
    oval, u_oval, _high = _harmonic(joint, covariance, 2)
    plain, off, inverse, _spread = _solve(basis, gram, sums, r, 1)
    lsc_ecc, _u, lsc_high = _harmonic(plain, inverse, 1)
    cos, sin = (np.broadcast_to(basis[:, :, k], r.shape) for k in (1, 2))
    figures = np.stack(
        [
            np.full(len(r), float(count)),
            np.ptp(r, axis=1),
            r.min(axis=1),
            noise,
            *(ecc, u_ecc, high),
            *(oval, u_oval),
            *(lsc_ecc, lsc_high),
            np.ptp(off, axis=1),
            zones(cos, sin, r),
            inscribed_means(cos, sin, r),
            -inscribed_means(cos, sin, -r),
        ]
    )
    return figures, np.broadcast_to(spread, (len(r),))


def _refit_uneven(
    turns: Floats, values: Floats, sigma: float, figures: Floats, spread: Floats
) -> Floats:
    """The figures, with those wheels measured again alone whose places are too uneven."""
    for wheel in np.flatnonzero(spread > WORST_SPREAD):
        one = fit(turns[wheel % len(turns)], values[wheel], sigma)
        figures[:, wheel] = _figures(one)
    return figures


def _figures(one: WheelFit) -> list[float]:
    off = one.joint[0]
    oval = one.joint[1] if len(one.joint) > 1 else None
    return [
        one.count,
        one.tir_mm,
        one.least_mm,
        one.noise_mm,
        *(off.amp_mm, off.u_amp_mm, off.high_deg),
        *((oval.amp_mm, oval.u_amp_mm) if oval else (math.nan, math.nan)),
        *(one.lsc.offset.amp_mm, one.lsc.offset.high_deg),
        one.lsc.roundness_mm,
        one.zone.width,
        one.inner.mean if one.inner else math.nan,
        one.outer.mean if one.outer else math.nan,
    ]


def _solve(
    basis: Floats, gram: Floats, sums: Floats, r: Floats, top: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """Coefficients (w, p), what they leave (w, n), inverse and spread, of harmonics to ``top``.

    With common places the inverse and the spread are those of one wheel for all.
    """
    size = 1 + 2 * top
    inverse = np.asarray(np.linalg.inv(gram[:, :size, :size]), dtype=np.float64)
    coefficients = (inverse @ sums[:, :size, None])[:, :, 0]
    off = r - (basis[:, :, :size] @ coefficients[:, :, None])[:, :, 0]
    widest = np.diagonal(inverse, axis1=1, axis2=2).max(axis=1)
    spread: Floats = np.sqrt(np.maximum(widest * r.shape[1] / 2, 0.0))
    return coefficients, off, inverse, spread


def _noise(off: Floats, size: int, sigma: float) -> Floats:
    """As `wheel_fit` decides it: the stated noise, or the residual where it is surely larger."""
    wheels, count = off.shape
    freedom = count - size
    squares = np.einsum("ij,ij->i", off, off)
    stated = np.full(wheels, sigma)
    if count < ENOUGH_FOR_NOISE or freedom < 1:
        return stated
    larger = squares > sigma**2 * chi_square(freedom, NORMAL_999)
    return np.where(larger, np.sqrt(squares / freedom), stated)


def _folded(off: Floats, inverse: Floats, gram: Floats, noise: Floats) -> Floats:
    """Covariance (w, 7, 7) that lobes bring into the joint fit, as in `wheel_fit`."""
    size = inverse.shape[1]
    freedom = off.shape[1] - size
    if freedom < 1:
        return np.zeros((len(off), size, size))
    squares = np.einsum("ij,ij->i", off, off)
    excess = squares / freedom - noise**2
    excess[squares <= noise**2 * chi_square(freedom, NORMAL_95)] = 0.0
    leaks = inverse @ gram[:, :size, size : 1 + 2 * FOLDING]
    folded = leaks @ np.swapaxes(leaks, 1, 2)
    return excess[:, None, None] / (FOLDING - JOINT) * folded


def _harmonic(
    coefficients: Floats, covariance: Floats, order: int
) -> tuple[Floats, Floats, Floats]:
    """Amplitude, its u, and the angle of a high spot in degrees, each of shape (w,)."""
    i, j = 2 * order - 1, 2 * order
    a, b = coefficients[:, i], coefficients[:, j]
    amp = np.hypot(a, b)
    cos, sin = a / np.maximum(amp, TINY_MM), b / np.maximum(amp, TINY_MM)
    along = (
        cos**2 * covariance[:, i, i]
        + sin**2 * covariance[:, j, j]
        + 2 * sin * cos * covariance[:, i, j]
    )
    high = np.degrees(np.arctan2(b, a)) / order % (360 / order)
    return amp, np.sqrt(np.maximum(along, 0.0)), high


def zones(cos: Floats, sin: Floats, r: Floats) -> Floats:
    """Return RONt(MZCI), shape (W,), of readings of shape (W, N), N >= 4, in the order of a turn.

    The exchange of `roundness.minimum_zone`, all wheels in step. Raises GaugeInputError
    ``no_answer`` when it does not end.
    """
    wheels, count = r.shape
    held = np.tile(np.arange(4) * count // 4, (wheels, 1))
    width = np.zeros(wheels)
    floor = TINY * np.abs(r).max(axis=1)
    going = np.arange(wheels)
    for _step in range(MOST_STEPS):
        c, s, v = cos[going], sin[going], r[going]
        level, off = _zone_off(held[going], c, s, v)
        gained = np.abs(level) > width[going] / 2 * (1 + EPS)
        width[going] = np.maximum(width[going], 2 * np.abs(level))
        worst = np.abs(off).argmax(axis=1)
        far = np.take_along_axis(off, worst[:, None], 1)[:, 0]
        held_already = (held[going] == worst[:, None]).any(axis=1)
        outside = np.abs(far) > np.abs(level) * (1 + EPS) + floor[going]
        more = outside & ~held_already & (gained | (_step == 0))
        held[going] = _exchange_zones(held[going], worst, (far > 0) == (level >= 0))
        going = going[more]
        if not len(going):
            return width
    raise GaugeInputError("no_answer", field="readings", why="a minimum zone was not found")


def _zone_off(held: Places, cos: Floats, sin: Floats, r: Floats) -> tuple[Floats, Floats]:
    """Level (w,) at the four held readings, and what the limaçon through them leaves (w, n)."""
    c, s, v = (np.take_along_axis(of, held, 1) for of in (cos, sin, r))
    areas = np.stack([_area(c, s, *others) for others in _OTHERS], axis=1)
    signs = np.array([1.0, -1.0, 1.0, -1.0])
    level = (areas * signs * v).sum(axis=1) / areas.sum(axis=1)
    apart = (areas.argmax(axis=1)[:, None] + np.arange(1, 4)) % 4
    values = v - level[:, None] * signs
    c, s, values = (np.take_along_axis(of, apart, 1) for of in (c, s, values))
    return level, r - _planes(c, s, values, cos, sin)


_OTHERS = ((1, 2, 3), (0, 2, 3), (0, 1, 3), (0, 1, 2))


def _area(c: Floats, s: Floats, i: int, j: int, k: int) -> Floats:
    return (c[:, j] - c[:, i]) * (s[:, k] - s[:, i]) - (c[:, k] - c[:, i]) * (s[:, j] - s[:, i])


def _planes(c: Floats, s: Floats, v: Floats, cos: Floats, sin: Floats) -> Floats:
    """Limaçons through three values each, read at all places: shape (w, n)."""
    c1, s1, v1 = (of[:, 1] - of[:, 0] for of in (c, s, v))
    c2, s2, v2 = (of[:, 2] - of[:, 0] for of in (c, s, v))
    area = c1 * s2 - c2 * s1
    x, y = (v1 * s2 - v2 * s1) / area, (c1 * v2 - c2 * v1) / area
    mean = v[:, 0] - x * c[:, 0] - y * s[:, 0]
    return mean[:, None] + x[:, None] * cos + y[:, None] * sin


def _exchange_zones(held: Places, worst: Places, as_even: NDArray[np.bool_]) -> Places:
    after = (held < worst[:, None]).sum(axis=1)
    leaving = np.where((after % 2 == 0) == as_even, after, after - 1) % 4
    return _put(held, leaving, worst)


def _put(held: Places, leaving: Places, worst: Places) -> Places:
    new = held.copy()
    np.put_along_axis(new, leaving[:, None], worst[:, None], 1)
    return np.sort(new, axis=1)


def inscribed_means(cos: Floats, sin: Floats, r: Floats) -> Floats:
    """Return the mean of the largest limaçon inside of each wheel, shape (W,), NaN for none.

    The exchange of `roundness.inscribed`, all wheels in step; errors as `zones`.
    """
    held, going = _first_threes(cos, sin, r)
    means = np.full(len(r), np.nan)
    floor = EPS * np.ptp(r, axis=1) + TINY * np.abs(r).max(axis=1)
    for _step in range(MOST_STEPS):
        if not len(going):
            return means
        now = held[going]
        c, s, v = (np.take_along_axis(of[going], now, 1) for of in (cos, sin, r))
        off = r[going] - _planes(c, s, v, cos[going], sin[going])
        zero = np.zeros((len(going), 1))
        means[going] = _planes(c, s, v, zero, zero)[:, 0]
        worst = off.argmin(axis=1)
        least = np.take_along_axis(off, worst[:, None], 1)[:, 0]
        more = (least < -floor[going]) & ~(now == worst[:, None]).any(axis=1)
        going, now, worst = going[more], now[more], worst[more]
        held[going] = _exchange_threes(now, worst, cos[going], sin[going])
    raise GaugeInputError("no_answer", field="readings", why="an inscribed circle was not found")


def _first_threes(cos: Floats, sin: Floats, r: Floats) -> tuple[Places, Places]:
    """The three to start with, shape (w, 3), and which wheels have such three."""
    count = r.shape[1]
    first = r.argmin(axis=1)[:, None]
    round_from = (first + np.arange(1, count)) % count
    c0, s0 = (np.take_along_axis(of, first, 1) for of in (cos, sin))
    c, s = (np.take_along_axis(of, round_from, 1) for of in (cos, sin))
    across = c0 * s - s0 * c
    beyond = across <= ACROSS
    stop = beyond.argmax(axis=1)[:, None]
    place = np.take_along_axis(round_from, stop, 1)
    before = np.take_along_axis(round_from, np.maximum(stop - 1, 0), 1)
    cb, sb, cp, sp = (
        np.take_along_axis(of, at, 1)[:, 0] for at in (before, place) for of in (cos, sin)
    )
    opposite = np.take_along_axis(across, stop, 1) >= -ACROSS
    half_is_open = (opposite & (stop == count - 2))[:, 0]
    usable = beyond.any(axis=1) & (stop[:, 0] > 0) & ~half_is_open & (cb * sp - sb * cp > ACROSS)
    held = np.sort(np.concatenate([first, before, place], axis=1), axis=1)
    return held, np.flatnonzero(usable)


def _exchange_threes(held: Places, worst: Places, cos: Floats, sin: Floats) -> Places:
    after = (held < worst[:, None]).sum(axis=1) % 3
    third = np.take_along_axis(held, ((after + 1) % 3)[:, None], 1)
    (ct, cw), (st, sw) = (
        (np.take_along_axis(of, third, 1)[:, 0], np.take_along_axis(of, worst[:, None], 1)[:, 0])
        for of in (cos, sin)
    )
    leaving = np.where(ct * sw - st * cw >= 0, after - 1, after) % 3
    return _put(held, leaving, worst)
