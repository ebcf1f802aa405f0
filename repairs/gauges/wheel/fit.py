"""What the dial readings of one turn say about a wheel: the fits and how sure they are.

The model is the limaçon with lobes, ``r = m + Σ a_h·cos hθ + b_h·sin hθ``: harmonic 1 is how far
the rim sits off the axle, 2 is ovality, 3 and more are lobes (ISO 12181-1 counts them in
undulations per revolution). ISO 4291 gives the same sums for complete, evenly spaced readings;
here they come from the normal equations, so that missing readings are simply left out.

Uncertainty (GUM, JCGM 100:2008, 5.1): the noise of the dial gauge is carried through every fit.
Two things can make it larger than stated. When many readings were taken and even fifteen lobes
leave more than the gauge's noise, the residual is used instead. And where readings are missing or
few, lobes that the joint fit does not hold fold into its eccentricity: the excess of the residual,
spread over the harmonics 4 to 9, is carried into it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.wheel import inscribed, roundness
from repairs.gauges.wheel.fitted import Harmonic, LeastSquares, WheelFit
from repairs.gauges.wheel.roundness import Touch

VERSION = "wheel_fit 1"

MOST_LOBES = 15  # undulations per turn, the coarsest filter of ISO 12181-2
FOLDING = 9  # highest harmonic that is feared to fold into the joint fit
JOINT = 3  # harmonics of the joint fit
WORST_SPREAD = 4.0  # standard uncertainty against the same number of readings in even steps
ENOUGH_FOR_NOISE = 16  # readings, below which short lobes and noise cannot be told apart
NORMAL_95, NORMAL_999 = 1.645, 3.090
TINY_MM = 1e-12


@dataclass(frozen=True, slots=True)
class _Solved:
    """Coefficients of a fit, their covariance for noise 1, and the sum of squares it leaves."""

    coefficients: Floats
    inverse: Floats
    squares: float
    freedom: int
    spread: float


def fit(theta: Floats, readings_mm: Floats, sigma_mm: float) -> WheelFit:
    """Fit one turn of readings.

    Parameters
    ----------
    theta : float64 array, shape (N,), N >= 4
        Angles in radians, distinct, in the order of one turn.
    readings_mm : float64 array, shape (N,)
        Growing where the surface is farther from the axle.
    sigma_mm : float
        Standard deviation of one reading, > 0.

    Returns
    -------
    WheelFit

    Raises
    ------
    GaugeInputError
        ``too_few`` with fewer than four readings.
    """
    count = len(readings_mm)
    mean = float(readings_mm.mean())
    r = readings_mm - mean
    longest = most_lobes(count)
    basis = fourier_basis(theta, max(FOLDING, longest))
    system = basis, basis.T @ basis, basis.T @ r, r
    joint = _solve(system, min(JOINT, longest))
    lobed = _solve(system, longest) if longest > JOINT else joint
    noise = _noise(lobed, count, sigma_mm)
    cos, sin = basis[:, 1].copy(), basis[:, 2].copy()
    circle, plain, off = _least_squares(system, noise)
    joint_covariance = noise**2 * joint.inverse + _folded(joint, system[1], noise)
    return WheelFit(
        count=count,
        mean_mm=mean,
        least_mm=float(r.min()),
        most_mm=float(r.max()),
        joint=_harmonics(joint.coefficients, joint_covariance),
        lobes=_harmonics(lobed.coefficients, noise**2 * lobed.inverse, first=JOINT),
        residual_mm=math.sqrt(joint.squares / joint.freedom) if joint.freedom else None,
        noise_mm=noise,
        spread=joint.spread,
        lsc=circle,
        zone=roundness.minimum_zone(cos, sin, off).beside(*plain),
        inner=_beside(inscribed.inscribed(cos, sin, off), plain),
        outer=_beside(inscribed.circumscribed(cos, sin, off), plain),
    )


def most_lobes(count: int) -> int:
    """Highest harmonic that so many readings carry: a third of them, from 8 on at least three."""
    if count < 8:
        return 2 if count >= 6 else 1
    return max(JOINT, min(MOST_LOBES, count // 3))


def fourier_basis(theta: Floats, top: int) -> Floats:
    """Columns 1, cos θ, sin θ, cos 2θ, sin 2θ … up to ``top``: shape (N, 1 + 2·top)."""
    turns = theta[:, None] * np.arange(1, top + 1)
    basis = np.empty((len(theta), 1 + 2 * top))
    basis[:, 0] = 1.0
    np.cos(turns, out=basis[:, 1::2])
    np.sin(turns, out=basis[:, 2::2])
    return basis


_System = tuple[Floats, Floats, Floats, Floats]  # basis, gram matrix, sums, centred readings


def _solve(system: _System, top: int) -> _Solved:
    """Solve for the harmonics up to ``top``, or for fewer where gaps make them unsure."""
    basis, gram, sums, r = system
    count = len(r)
    while True:
        size = 1 + 2 * top
        try:
            inverse = np.asarray(np.linalg.inv(gram[:size, :size]), dtype=np.float64)
            spread = math.sqrt(max(float(inverse.diagonal().max()) * count / 2, 0.0))
        except np.linalg.LinAlgError:
            spread = math.inf
        if top == 1 or spread <= WORST_SPREAD:
            break
        top -= 1
    coefficients = inverse @ sums[:size]
    off = r - basis[:, :size] @ coefficients
    return _Solved(coefficients, inverse, float(off @ off), count - size, spread)


def _noise(lobed: _Solved, count: int, sigma_mm: float) -> float:
    """The gauge's noise as stated, or the residual where it is beyond doubt larger."""
    if count < ENOUGH_FOR_NOISE:
        return sigma_mm
    if lobed.squares <= sigma_mm**2 * chi_square(lobed.freedom, NORMAL_999):
        return sigma_mm
    return math.sqrt(lobed.squares / lobed.freedom)


def chi_square(freedom: int, normal: float) -> float:
    """Quantile of the chi-square distribution at a quantile of the normal one.

    Source: Wilson & Hilferty, Proc. Natl. Acad. Sci. 17 (1931) 684-688 (from memory).
    """
    part = 2 / (9 * freedom)
    return freedom * (1 - part + normal * math.sqrt(part)) ** 3


def _folded(joint: _Solved, gram: Floats, noise: float) -> Floats:
    """Covariance that lobes beyond the joint fit bring into it through gaps and few readings.

    Nothing for a complete ring in even steps of 12 readings or more, up to harmonic 2.
    """
    size = len(joint.coefficients)
    if joint.freedom < 1 or joint.squares <= noise**2 * chi_square(joint.freedom, NORMAL_95):
        return np.zeros((size, size))
    excess = joint.squares / joint.freedom - noise**2
    leaks = joint.inverse @ gram[:size, size : 1 + 2 * FOLDING]
    orders = FOLDING - (size - 1) // 2
    return excess / orders * (leaks @ leaks.T)


def _beside(touch: Touch | None, plain: list[float]) -> Touch | None:
    return None if touch is None else touch.beside(*plain)


def _least_squares(system: _System, noise: float) -> tuple[LeastSquares, list[float], Floats]:
    """The plain circle, its mean, x and y, and what it leaves.

    Its u is that of the gauge's noise alone, for the readings taken. The other circles are sought
    in what it leaves, which is near to them.
    """
    basis, gram, sums, r = system
    inverse = np.asarray(np.linalg.inv(gram[:3, :3]), dtype=np.float64)
    coefficients = inverse @ sums[:3]
    off = r - basis[:, :3] @ coefficients
    high, low = int(off.argmax()), int(off.argmin())
    apart = basis[high, :3] - basis[low, :3]
    circle = LeastSquares(
        offset=_harmonics(coefficients, noise**2 * inverse)[0],
        peak_mm=float(off[high]),
        valley_mm=-float(off[low]),
        rms_mm=math.sqrt(float(off @ off) / len(r)),
        u_roundness_mm=noise * math.sqrt(max(2 - float(apart @ inverse @ apart), 0.0)),
    )
    return circle, coefficients.tolist(), off


def _harmonics(coefficients: Floats, covariance: Floats, first: int = 1) -> tuple[Harmonic, ...]:
    """Amplitudes and angles from pairs of coefficients; u along and across each pair."""
    values, spread = coefficients.tolist(), covariance.tolist()
    found = []
    for order in range(first, (len(values) + 1) // 2):
        i, j = 2 * order - 1, 2 * order
        a, b = values[i], values[j]
        amp = math.hypot(a, b)
        cos, sin = (a / amp, b / amp) if amp > 0 else (1.0, 0.0)
        aa, bb, ab = spread[i][i], spread[j][j], spread[i][j]
        along = cos * cos * aa + sin * sin * bb + 2 * sin * cos * ab
        across = sin * sin * aa + cos * cos * bb - 2 * sin * cos * ab
        turn = min(math.sqrt(max(across, 0.0)) / max(amp, TINY_MM), math.pi)
        found.append(
            Harmonic(
                order,
                amp,
                math.sqrt(max(along, 0.0)),
                math.degrees(math.atan2(b, a)) / order % (360 / order),
                math.degrees(turn) / order,
            )
        )
    return tuple(found)
