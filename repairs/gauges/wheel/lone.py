"""The lower end of one lobe that alone stands out of the noise, picked as the largest of many."""

from __future__ import annotations

import math
from functools import lru_cache

from repairs.gauges.base.arrays import Floats, np

VERSION = "wheel_lone 2"

FAMILY = 0.05
ALONE = 0.03  # share of wheels whose only lobe, however large, is less than its lower end
BENDS = 9.0  # over which square of a lobe, in standard uncertainties, FAMILY becomes ALONE


def least_evidence(orders: int) -> float:
    """Evidence that noise exceeds in any of so many orders in one wheel of twenty (χ² of 2)."""
    return -2 * math.log(1 - (1 - FAMILY) ** (1 / orders))


@lru_cache(maxsize=32)
def lower_ends(orders: int) -> tuple[Floats, Floats]:
    """Lower end of one lobe, by its amplitude: both in standard uncertainties.

    Neyman's construction for the largest of so many amplitudes when one lobe is there: the lower
    end is the lobe from which a larger one would be read in ``FAMILY`` of all wheels where it is
    small, in ``ALONE`` where it is large. It begins with 0 where that largest amplitude would come
    of noise alone in ``FAMILY`` of all wheels. Source: J. Neyman, Phil. Trans. R. Soc. A 236 (1937)
    333-380; G. Feldman & R. Cousins, Phys. Rev. D 57 (1998) 3873-3889 (why it must not be
    two intervals, one chosen by what was read).
    """
    lobes = np.linspace(0.0, 12.0, 61)
    above = ALONE + (FAMILY - ALONE) * np.exp(-(lobes**2) / BENDS)
    roots = np.array(
        [exceeded(lobe, share, orders) for lobe, share in zip(lobes, above, strict=True)]
    )
    return np.maximum.accumulate(roots), lobes


def exceeded(lobe: float, share: float, orders: int) -> float:
    """The largest amplitude that is exceeded in that share of wheels; by halving."""
    low, high = 0.0, lobe + 6.0
    for _halving in range(24):
        root = (low + high) / 2
        noise = (1 - math.exp(-(root**2) / 2)) ** (orders - 1)
        if noise * rice(root, lobe) < 1 - share:
            low = root
        else:
            high = root
    return high


def rice(root: float, lobe: float) -> float:
    """Probability that an amplitude is read below ``root``, both in standard uncertainties.

    S. Rice, Bell Syst. Tech. J. 24 (1945) 46: ``∫ r·exp(−(r² + a²)/2)·I₀(r·a) dr``, with the
    integral of I₀ taken round the turn.
    """
    r = np.linspace(max(0.0, lobe - 8.0), root, 161) if root > lobe - 8.0 else None
    if r is None:
        return 0.0
    # At the middles of 48 steps the periodic integrand is summed to its last digits.
    round_ = (np.arange(48) + 0.5) * math.pi / 48
    inner = np.exp(-(r[:, None] ** 2 + lobe**2 - 2 * r[:, None] * lobe * np.cos(round_)) / 2)
    density = r * inner.mean(axis=1)
    step = r[1] - r[0]
    simpson = density[0] + density[-1] + 4 * density[1::2].sum() + 2 * density[2:-1:2].sum()
    return float(step / 3 * simpson)
