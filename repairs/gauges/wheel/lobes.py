"""The lobes of a rim as another reading found them: typed, and laid round the turn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.checks import between, number
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, only, rows
from repairs.gauges.base.plain import optional
from repairs.gauges.wheel.force import MOST_ECC_MM

VERSION = "wheel_lobes 1"

MOST_ORDER = 15
SURE = 2.0  # standard uncertainties below which a lobe has no direction
LOBE_INPUTS = ("order", "amp_mm", "u_amp_mm", "high_deg")


@dataclass(frozen=True, slots=True)
class Lobe:
    """One harmonic of the rim; ``high_deg`` is None where its direction is not known.

    It then counts from 0°: of one lobe alone that changes nothing but where the turn begins.
    """

    order: int
    amp_mm: float
    u_amp_mm: float
    high_deg: float | None

    @property
    def is_sure(self) -> bool:
        """Whether it stands out of its own doubt, and is more than nothing."""
        return self.amp_mm > 0 and self.amp_mm >= SURE * self.u_amp_mm


def offsets_mm(lobes: Sequence[Lobe], angles_deg: Floats) -> Floats:
    """Return how far the rim stands out of its mean circle at these places: sure lobes only."""
    turns = np.radians(angles_deg)
    total: Floats = np.zeros_like(turns)
    for one in lobes:
        if one.is_sure:
            total += one.amp_mm * np.cos(one.order * (turns - math.radians(one.high_deg or 0.0)))
    return total


def profile_mm(lobes: Sequence[Lobe]) -> tuple[list[float], list[float]]:
    """Places every 3° from 0° to 360°, and how far the rim stands out there: to be drawn."""
    places = np.arange(0.0, 361.0, 3.0)
    return places.tolist(), offsets_mm(lobes, places).tolist()


def read_lobes(given: Any) -> list[Lobe]:
    """Lobes from plain data, by their order; no order twice."""
    found: dict[int, Lobe] = {}
    for row, one in enumerate(rows("lobes", given, least=0, most=MOST_ORDER), 1):
        only(one, LOBE_INPUTS, field="lobes", row=row)
        typed = between("order", one.get("order"), 1, MOST_ORDER, row=row)
        order = int(typed)
        if order != typed:
            raise GaugeInputError("not_whole", field="order", row=row, value=f"{typed:g}")
        if order in found:
            raise GaugeInputError("twice", field="order", row=row, value=order)
        found[order] = Lobe(
            order,
            between("amp_mm", one.get("amp_mm"), 0.0, MOST_ECC_MM, row=row),
            optional(one, "u_amp_mm", 0.0, (0.0, MOST_ECC_MM), row=row),
            None if absent(one, "high_deg") else number("high_deg", one["high_deg"], row=row) % 360,
        )
    return [found[order] for order in sorted(found)]
