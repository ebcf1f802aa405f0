"""Figures that are held against a limit: the gauge's own, and the one that the workshop set."""

from __future__ import annotations

from dataclasses import dataclass

from repairs.gauges.base.verdict import Limit
from repairs.readings.models import HouseLimit
from repairs.readings.sheets.base import Text
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.show import limit_words
from repairs.readings.sources import source_words


@dataclass(frozen=True)
class LimitedFigure:
    """One figure with both limits in words; ``house`` is empty where the workshop set none."""

    gauge: str
    figure: str
    sheet_label: Text
    label: Text
    own: str
    source: str
    house: str
    house_source: str


def limited_figures() -> list[LimitedFigure]:
    """Every figure that a sheet holds against a limit, with the limit that the house set last."""
    newest: dict[tuple[str, str], HouseLimit] = {}
    for row in HouseLimit.objects.order_by("set_at", "pk"):
        newest[row.gauge, row.figure] = row
    rows = []
    for sheet in SHEETS.values():
        for key, (label, limit) in sheet.limits.items():
            set_here = newest.get((sheet.gauge, key))
            rows.append(
                LimitedFigure(
                    sheet.gauge,
                    key,
                    sheet.label,
                    label,
                    _words(limit) or "—",
                    source_words(limit.source),
                    limit_words(set_here.lower, set_here.upper, limit.unit) if set_here else "",
                    set_here.source if set_here else "",
                )
            )
    return rows


def _words(limit: Limit) -> str:
    return limit_words(limit.lower, limit.upper, limit.unit)
