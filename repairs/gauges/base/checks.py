"""One checker for each kind of input; each names the input and the row that it refuses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.errors import GaugeInputError


def number(field: str, value: Any, *, row: int | None = None) -> float:
    """Return a finite float; refuse None, text, NaN, infinity and truth values."""
    if value is None or value == "":
        raise GaugeInputError("missing", field=field, row=row)
    try:
        result = float(value)
    except (TypeError, ValueError, OverflowError):
        raise GaugeInputError("not_a_number", field=field, row=row, value=repr(value)) from None
    if isinstance(value, bool) or not math.isfinite(result):
        raise GaugeInputError("not_a_number", field=field, row=row, value=repr(value))
    return result


def between(
    field: str, value: object, least: float, most: float, *, row: int | None = None
) -> float:
    """Return a finite float in ``[least, most]``, both in the unit that the field's name says."""
    result = number(field, value, row=row)
    if result < least:
        raise GaugeInputError(
            "too_small", field=field, row=row, value=_short(result), limit=_short(least)
        )
    if result > most:
        raise GaugeInputError(
            "too_big", field=field, row=row, value=_short(result), limit=_short(most)
        )
    return result


def positive(field: str, value: object, *, most: float, row: int | None = None) -> float:
    """Return a finite float above 0 and at most ``most``."""
    result = number(field, value, row=row)
    if result <= 0:
        raise GaugeInputError("not_positive", field=field, row=row, value=_short(result))
    return between(field, result, 0.0, most, row=row)


def numbers(field: str, values: Any, *, least: int, most: int) -> Floats:
    """Return a float64 array, shape (N,), of finite numbers with ``least <= N <= most``."""
    if not isinstance(values, Sequence | np.ndarray) or isinstance(values, str):
        raise GaugeInputError("missing", field=field)
    if len(values) < least:
        raise GaugeInputError("too_few", field=field, value=len(values), limit=least)
    if len(values) > most:
        raise GaugeInputError("too_many", field=field, value=len(values), limit=most)
    return np.array([number(field, v, row=i) for i, v in enumerate(values, 1)], dtype=np.float64)


def _short(value: float) -> str:
    return f"{value:.6g}"
