"""How far the doubt of the inputs carries into a result."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

Values = Mapping[str, float]


def spread(law: Callable[[Values], float], values: Values, us: Values) -> float:
    """Return the standard uncertainty of ``law(values)``, in the unit of the law.

    ``us`` holds the standard uncertainty of each value, in its unit; a value not named there is
    taken as exact. First order, independent inputs, sensitivities by central differences, so that
    an input that enters a result by two ways is counted rightly.
    Source: JCGM 100:2008 (GUM), 5.1.2 and 5.1.3 note 2.
    """
    total = 0.0
    for name, u in us.items():
        if u > 0 and name in values:
            total += (sensitivity(law, values, name, u) * u) ** 2
    return math.sqrt(total)


def sensitivity(law: Callable[[Values], float], values: Values, name: str, u: float) -> float:
    """Return the change of ``law`` per unit of one value."""
    middle = values[name]
    step = 1e-4 * (abs(middle) or u)
    above, below = dict(values), dict(values)
    above[name], below[name] = middle + step, middle - step
    return (law(above) - law(below)) / (2.0 * step)
