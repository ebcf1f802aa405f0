"""Small pieces that most sheets need."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from repairs.gauges.verdict import Limit
from repairs.readings.sheets.base import FigureValue, Text

MOST_KEY = 60


def figure(
    output: Mapping[str, Any],
    key: str,
    label: Text,
    unit: str,
    digits: int,
    limit: Limit | None = None,
) -> FigureValue | None:
    """The figure of that name, if the gauge gave one; its uncertainty is ``u_`` before the name."""
    value = output.get(key)
    if value is None:
        return None
    u = output.get(f"u_{key}")
    return FigureValue(
        key, label, float(value), None if u is None else float(u), unit, digits, limit
    )


def present(figures: Iterable[FigureValue | None]) -> list[FigureValue]:
    return [one for one in figures if one is not None]


def told_apart(figures: Iterable[FigureValue]) -> list[FigureValue]:
    """The figures with keys that fit their column, each another: two strings may have one name."""
    seen: set[str] = set()
    apart = []
    for one in figures:
        key, number = one.key[:MOST_KEY], 1
        while key in seen:
            number += 1
            key = f"{one.key[: MOST_KEY - 4]} {number}"
        seen.add(key)
        apart.append(replace(one, key=key))
    return apart


def given_only(values: Mapping[str, Any], *names: str) -> dict[str, Any]:
    """Those of the named values that were typed."""
    return {name: values[name] for name in names if values.get(name) not in (None, "")}
