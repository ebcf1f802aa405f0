"""What pressing a key adds along the keyboard: by two presses, the string's law or its shape.

A string pushed aside by y at x becomes longer by about (y²/2)·(1/x + 1/(L − x)), and sharper in
proportion. With r = L/(L − x) that is r²/(r − 1), whatever the string: much on the lowest keys,
least at the octave, more again above. No bridge and no nut does that. The part that sounds becomes
longer too, which flattens a little: 1200·log₂(√(B² + y²)/B).
Source: Hooke's law, geometry.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.propagation import Values, spread
from repairs.gauges.keys.keyboard import sharpening_cents
from repairs.gauges.keys.temperament import PER_OCTAVE

# Cents at r²/(r − 1) = 1, where nothing is known of the string: gut of 0.8 mm under 66 N is 0.27
# for a push of 1.5 mm, steel of 0.3 mm 0.56 for 1 mm; pushed twice as far, four times as much.
USUAL_U = 1.0
# From two presses: the light one has itself sharpened, by nothing to as much again as the firm one
# added. Half the width of that, over √3.
LIGHT_SHARE, LIGHT_U = 1.0, 1.0 / math.sqrt(3.0)


@dataclass(frozen=True)
class Press:
    """``shape_cents`` (N,) times a factor that is ``mean`` ± ``u``; ``source`` of the two."""

    shape_cents: Floats
    mean: float
    u: float
    source: str


def shape(ratios: Floats) -> Floats:
    """Return r²/(r − 1), shape (N,), for ratios r > 1 of the wanted notes to the open string."""
    return np.asarray(ratios**2 / (ratios - 1.0))


def usual(ratios: Floats) -> Press:
    """Of a string that nothing is known of."""
    return Press(shape(ratios), 0.0, USUAL_U, "shape")


def by_two_presses(ratios: Floats, more_cents: Floats, u_more_cents: float) -> Press:
    """From what a firm press added to a light one on each key, NaN where only one was taken.

    The least-squares factor D of the shape, and for the light press D·(1 ± 0.58).
    """
    known = np.isfinite(more_cents)
    grown = shape(ratios)
    weight = float(np.sum(grown[known] ** 2))
    factor = float(np.sum(grown[known] * more_cents[known])) / weight
    u_factor = u_more_cents / math.sqrt(weight)
    u = math.hypot(LIGHT_U * max(factor, 0.0), 2.0 * u_factor)
    return Press(grown, LIGHT_SHARE * max(factor, 0.0), u, "two_presses")


def by_law(length_mm: float, ratios: Floats, values: Values, us: Mapping[str, float]) -> Press:
    """From the string's law; ``values`` and ``us`` as for ``sharpening_cents`` but its place.

    The factor is 1 with the share of doubt that the law has at the key in the middle.
    """
    places = length_mm * (1.0 - 1.0 / ratios)
    cents = np.array([pressed_cents({**values, "from_nut_mm": float(x)}) for x in places])
    middle = {**values, "from_nut_mm": float(np.median(places))}
    there = pressed_cents(middle)
    if abs(there) < 1e-12:
        raise GaugeInputError("not_positive", field="push_mm", value=f"{values['push_mm']:g}")
    return Press(cents, 1.0, spread(pressed_cents, middle, us) / abs(there), "law")


def pressed_cents(v: Values) -> float:
    """Return by how much a press changes a note: sharpened by tension, flattened by length."""
    left = v["length_mm"] - v["from_nut_mm"]
    longer = PER_OCTAVE * math.log2(math.hypot(left, v["push_mm"]) / left)
    return sharpening_cents(v) - longer
