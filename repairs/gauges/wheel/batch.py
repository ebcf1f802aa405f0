"""The same fits for thousands of wheels at once, in step.

Every wheel walks the same exchange as in `roundness`, all wheels that are not done yet together;
figures agree with `wheel_fit.fit` to rounding. The few wheels whose gaps ask for fewer harmonics
are handed to it one by one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from repairs.gauges.base.arrays import Floats, NDArray, np
from repairs.gauges.base.checks import positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.batch_circles import inscribed_means, zones
from repairs.gauges.wheel.fit import (
    ENOUGH_FOR_NOISE,
    FOLDING,
    JOINT,
    NORMAL_95,
    NORMAL_999,
    WORST_SPREAD,
    chi_square,
    fit,
    fourier_basis,
    most_lobes,
)
from repairs.gauges.wheel.fitted import WheelFit

VERSION = "wheel_batch 1"

CHUNK = 1000  # wheels whose matrices are held in memory together
LEAST = 8


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
    (ecc, u_ecc), (oval, u_oval) = (_harmonic(joint, covariance, order) for order in (1, 2))
    plain, off, _inverse, _spread = _solve(basis, gram, sums, r, 1)
    cos, sin = (np.broadcast_to(basis[:, :, k], r.shape) for k in (1, 2))
    figures = np.stack(
        [
            np.full(len(r), float(count)),
            np.ptp(r, axis=1),
            r.min(axis=1),
            noise,
            *(ecc, u_ecc, _high_spot(joint)),
            *(oval, u_oval),
            *(np.hypot(plain[:, 1], plain[:, 2]), _high_spot(plain)),
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
    if count < ENOUGH_FOR_NOISE:
        return stated
    larger = squares > sigma**2 * chi_square(freedom, NORMAL_999)
    return np.where(larger, np.sqrt(squares / freedom), stated)


def _folded(off: Floats, inverse: Floats, gram: Floats, noise: Floats) -> Floats:
    """Covariance (w, 7, 7) that lobes bring into the joint fit, as in `wheel_fit`."""
    size = 1 + 2 * JOINT
    freedom = off.shape[1] - size
    squares = np.einsum("ij,ij->i", off, off)
    excess = squares / freedom - noise**2
    excess[squares <= noise**2 * chi_square(freedom, NORMAL_95)] = 0.0
    leaks = inverse @ gram[:, :size, size : 1 + 2 * FOLDING]
    folded = leaks @ np.swapaxes(leaks, 1, 2)
    return excess[:, None, None] / (FOLDING - JOINT) * folded


def _high_spot(coefficients: Floats) -> Floats:
    """The angle of the high spot of harmonic 1 in degrees, shape (w,)."""
    high: Floats = np.degrees(np.arctan2(coefficients[:, 2], coefficients[:, 1])) % 360
    return high


def _harmonic(coefficients: Floats, covariance: Floats, order: int) -> tuple[Floats, Floats]:
    """Amplitude and its u, each of shape (w,)."""
    i, j = 2 * order - 1, 2 * order
    a, b = coefficients[:, i], coefficients[:, j]
    amp = np.hypot(a, b)
    some = np.where(amp > 0, amp, 1.0)
    cos, sin = np.where(amp > 0, a / some, 1.0), b / some
    along = (
        cos**2 * covariance[:, i, i]
        + sin**2 * covariance[:, j, j]
        + 2 * sin * cos * covariance[:, i, j]
    )
    return amp, np.sqrt(np.maximum(along, 0.0))
