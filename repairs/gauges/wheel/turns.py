"""Two or three turns at the same places: what repeats each turn, apart from what does not.

The mean over the turns is the synchronous part: the rim and its seat. What is left is asynchronous:
dial, hand and bearing (ISO 230-7:2015, 3.2; ASME B89.3.4-2010). It gives the repeatability that a
single turn can only assume.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, np

VERSION = "wheel_turns 1"

NORMAL_975 = 1.959964
STEPS_MM = (0.05, 0.02, 0.01, 0.005, 0.002, 0.001, 0.0005, 0.0002, 0.0001)
NEAR = 1e-6  # of a step
LEAST_NOISE_MM = 0.0001  # no dial of a workshop reads finer


@dataclass(frozen=True, slots=True)
class Repeat:
    """What the turns say of the readings.

    ``sigma_mm`` is the standard deviation of one reading, with ``freedom`` degrees of freedom;
    ``noise_mm`` that of the mean of the turns at a place, widened for few degrees of freedom.
    ``asynchronous_mm`` is the widest range of the turns at one place.
    """

    turns: int
    sigma_mm: float
    freedom: int
    asynchronous_mm: float
    noise_mm: float


def averaged(turns_mm: Floats) -> tuple[Floats, Repeat]:
    """Return the mean turn, shape (N,), and how well the turns, shape (T, N), T >= 2, repeat it.

    A turn may have a zero of its own: the dial was set anew between them.
    """
    count, places = turns_mm.shape
    level = turns_mm - turns_mm.mean(axis=1, keepdims=True)
    mean = level.mean(axis=0)
    apart = level - mean
    freedom = (count - 1) * (places - 1)
    sigma = math.sqrt(float((apart**2).sum()) / freedom)
    # A rounded reading is uniform over one step, the same in each turn (JCGM 100:2008, F.2.2.1).
    least = max(step_of(turns_mm) / math.sqrt(12), LEAST_NOISE_MM)
    wider = student_975(freedom) / NORMAL_975
    noise = max(wider * sigma / math.sqrt(count), least)
    return turns_mm[0].mean() + mean, Repeat(
        count, sigma, freedom, float(np.ptp(apart, axis=0).max()), noise
    )


def step_of(readings_mm: Floats) -> float:
    """The coarsest usual step that all readings are whole multiples of; 0 where none is."""
    for step in STEPS_MM:
        counted = readings_mm / step
        if bool(np.all(np.abs(counted - np.round(counted)) < NEAR)):
            return step
    return 0.0


def student_975(freedom: int) -> float:
    """Quantile of Student's distribution at 97.5 %: within 0.001 from eight degrees of freedom.

    Source: Cornish-Fisher expansion, Abramowitz & Stegun 26.7.5 (from memory).
    """
    z = NORMAL_975
    first = (z**3 + z) / 4
    second = (5 * z**5 + 16 * z**3 + 3 * z) / 96
    third = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384
    return z + first / freedom + second / freedom**2 + third / freedom**3
