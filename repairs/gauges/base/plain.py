"""Numbers that may be left out, and results turned into what JSON can hold."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

from repairs.gauges.base.arrays import np
from repairs.gauges.base.checks import between
from repairs.gauges.base.given import absent


def optional(
    data: Mapping[str, Any],
    name: str,
    default: float,
    ends: tuple[float, float],
    *,
    row: int | None = None,
) -> float:
    """Return the number under ``name``, between both ``ends``, or ``default`` when left out."""
    found = maybe(data, name, ends, row=row)
    return default if found is None else found


def maybe(
    data: Mapping[str, Any], name: str, ends: tuple[float, float], *, row: int | None = None
) -> float | None:
    """Return the number under ``name``, between both ``ends``, or None when left out."""
    return None if absent(data, name) else between(name, data[name], *ends, row=row)


def needed(
    data: Mapping[str, Any], name: str, ends: tuple[float, float], *, row: int | None = None
) -> float:
    """Return the number under ``name``, between both ``ends``; it may not be left out."""
    return between(name, data.get(name), *ends, row=row)


def plain(value: object) -> Any:
    """Turn dataclasses, tuples and numpy values into what JSON can hold; NaN becomes None."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, tuple | list | np.ndarray):
        return [plain(v) for v in value]
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
