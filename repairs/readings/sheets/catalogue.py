"""All entry sheets by the name of their gauge."""

from __future__ import annotations

from typing import Any

from repairs.readings.sheets import action, cards, climate, keyboard, strings, wheel, wood
from repairs.readings.sheets.base import Sheet

ALL = (
    wheel.SHEET,
    keyboard.SHEET,
    action.SHEET,
    strings.SHEET,
    cards.VOICING,
    cards.DOG,
    wood.CRACK,
    wood.CLEATS,
    wood.TAP,
    climate.SHEET,
)
SHEETS = {sheet.gauge: sheet for sheet in ALL}


def sheet_of(gauge: str) -> Sheet:
    """Return the sheet; KeyError when no gauge of that name has one."""
    return SHEETS[gauge]


def sheets_for(case: Any) -> list[Sheet]:
    """Those that fit the kind of instrument; one meant for another kind is left out."""
    kind = case.instrument.kind
    return [sheet for sheet in ALL if not sheet.kinds or kind in sheet.kinds]
