"""Tables of a keybox: keys in their order, one figure a tangent or one a key, empty ones as NaN."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.plain import maybe

MOST_KEYS = 60


def names_of(given: Sequence[Mapping[str, Any]]) -> tuple[int, ...]:
    """The numbers of the keys; refuses one that is no whole number, stands twice or falls back."""
    names: list[int] = []
    for row, key in enumerate(given, 1):
        value = between("key", key.get("key"), 1, MOST_KEYS, row=row)
        if value != int(value):
            raise GaugeInputError("not_whole", field="key", row=row, value=f"{value:g}")
        if int(value) in names:
            raise GaugeInputError("twice", field="key", row=row, value=int(value))
        if names and value < names[-1]:
            raise GaugeInputError(
                "not_rising", field="key", row=row, value=int(value), limit=names[-1]
            )
        names.append(int(value))
    return tuple(names)


def each(
    given: Sequence[Mapping[str, Any]],
    name: str,
    strings: int,
    ends: tuple[float, float],
    *,
    needed_here: bool = True,
) -> Floats:
    """Figures of each tangent, shape (S, K); an empty one is NaN, one number stands for all.

    At least one tangent of a key must have the figure where it is needed.
    """
    table = np.full((strings, len(given)), np.nan)
    for row, key in enumerate(given, 1):
        cell = key.get(name)
        cells = (
            cell if isinstance(cell, Sequence) and not isinstance(cell, str) else [cell] * strings
        )
        if len(cells) != strings:
            raise GaugeInputError(
                "unequal",
                field=f"{name} of key row {row}",
                row=row,
                value=len(cells),
                other="strings",
                limit=strings,
            )
        for s, value in enumerate(cells):
            if value is not None and value != "":
                table[s, row - 1] = _of_string(s + 1, name, value, ends, row)
        if needed_here and not np.isfinite(table[:, row - 1]).any():
            raise GaugeInputError("missing", field=name, row=row)
    return table


def _of_string(string: int, name: str, value: Any, ends: tuple[float, float], row: int) -> float:
    """One figure of a tangent; a refusal says of which string it is."""
    try:
        return between(name, value, *ends, row=row)
    except GaugeInputError as refusal:
        refusal.details["string"] = string
        raise


def one_each(given: Sequence[Mapping[str, Any]], name: str, ends: tuple[float, float]) -> Floats:
    """A figure of each key, shape (K,); an empty one is NaN. Refuses what lies beyond ``ends``."""
    found = [maybe(key, name, ends, row=row) for row, key in enumerate(given, 1)]
    return np.array([math.nan if value is None else value for value in found])


def check_rising(at_mm: Floats) -> None:
    """Refuse tangents of one string, shape (S, K), that do not go on towards the bridge."""
    for string, tangents in enumerate(at_mm, 1):
        last = -math.inf
        for row, x in enumerate(tangents, 1):
            if x <= last:
                raise GaugeInputError(
                    "not_rising",
                    field="at_mm",
                    row=row,
                    string=string,
                    value=f"{x:g}",
                    limit=f"{last:g}",
                )
            last = x if math.isfinite(x) else last
