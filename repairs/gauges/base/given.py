"""Reading of the plain data that a gauge is handed: names, choices, lists and limits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from repairs.gauges.base.checks import number
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit

HOUSE = "set by the house"


def only(given: Any, known: Iterable[str], *, field: str = "input", row: int | None = None) -> None:
    """Refuse names that the gauge does not know: a misspelt one would be passed over in silence."""
    names = list(known)
    if not isinstance(given, Mapping):
        kind = type(given).__name__
        raise GaugeInputError("unknown", field=field, row=row, value=kind, known=", ".join(names))
    for name in given:
        if name not in names:
            raise GaugeInputError(
                "unknown", field=field, row=row, value=name, known=", ".join(names)
            )


def absent(given: Mapping[str, Any], name: str) -> bool:
    """Left out, or left empty as a form or a spreadsheet leaves it."""
    value = given.get(name)
    return value is None or (isinstance(value, str) and not value.strip())


def choice(field: str, value: object, known: Iterable[str], *, row: int | None = None) -> str:
    """Return ``value`` when it is one of the known words."""
    names = list(known)
    if value is None or value == "":
        raise GaugeInputError("missing", field=field, row=row)
    if not isinstance(value, str) or value not in names:
        raise GaugeInputError("unknown", field=field, row=row, value=value, known=", ".join(names))
    return value


def rows(field: str, value: object, *, least: int, most: int) -> Sequence[Any]:
    """Return ``value`` when it is a list of ``least`` to ``most`` things."""
    if not isinstance(value, Sequence) or isinstance(value, str):
        raise GaugeInputError("missing", field=field)
    if len(value) < least:
        raise GaugeInputError("too_few", field=field, value=len(value), limit=least)
    if len(value) > most:
        raise GaugeInputError("too_many", field=field, value=len(value), limit=most)
    return value


def limits(given: Mapping[str, Any], defaults: Mapping[str, Limit]) -> dict[str, Limit]:
    """The default limits, with those that ``given["limits"]`` sets put in their place.

    Each own limit is ``{"lower": …, "upper": …, "source": …}``, any of them left out; the unit
    stays that of the default.
    """
    chosen = dict(defaults)
    own = given.get("limits") or {}
    only(own, defaults, field="limits")
    for name, spec in own.items():
        only(spec, ("lower", "upper", "source"), field=f"limits.{name}")
        ends = [
            None if absent(spec, end) else number(f"limits.{name}.{end}", spec[end])
            for end in ("lower", "upper")
        ]
        chosen[name] = Limit(
            ends[0], ends[1], defaults[name].unit, str(spec.get("source") or HOUSE)
        )
    return chosen
