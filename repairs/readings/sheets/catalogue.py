"""All entry sheets by the name of their gauge, and the figures that have a limit."""

from __future__ import annotations

from typing import Any

from repairs.readings.sheets import action, keyboard, strings, wheel
from repairs.readings.sheets.base import Sheet

SHEETS = {
    sheet.gauge: sheet for sheet in (wheel.SHEET, keyboard.SHEET, action.SHEET, strings.SHEET)
}


def sheet_of(gauge: str) -> Sheet:
    """Return the sheet; KeyError when no gauge of that name has one."""
    return SHEETS[gauge]


def sheets_for(case: Any) -> list[Sheet]:
    """Those that fit the kind of instrument first; one meant for another kind is left out."""
    kind = case.instrument.kind
    return [sheet for sheet in SHEETS.values() if not sheet.kinds or kind in sheet.kinds]
