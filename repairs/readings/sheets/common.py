"""Small pieces that most sheets need."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from repairs.cases.models import Case
from repairs.gauges.base.verdict import Limit
from repairs.readings.sheets.base import Cell, FigureValue, Text

MOST_KEY = 60
USUAL_KEYS = 23  # of a French wheel fiddle, where nobody counted them
SIGNS = {"inside": "●", "doubtful": "◐", "not_judged": "○", "outside": "✕"}


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
    """Those that the gauge gave; one that it could not tell is left out, not shown as nothing."""
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


def limit_of(verdict: Mapping[str, Any]) -> Limit | None:
    """The limit that a gauge held its own verdict against, if it had one."""
    held = verdict.get("limit")
    return Limit(held["lower"], held["upper"], held["unit"], held["source"]) if held else None


def blank_row(columns: Sequence[Cell], **said: str) -> dict[str, str]:
    """A row with nothing typed but what is said."""
    return {column.key: "" for column in columns} | said


def rows_of_keys(columns: Sequence[Cell], case: Case) -> list[dict[str, str]]:
    """A row for each key of the instrument, with its number in it."""
    count = case.instrument.key_count or USUAL_KEYS
    return [blank_row(columns, key=str(key)) for key in range(1, count + 1)]
