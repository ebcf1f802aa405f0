"""What was typed, weighed before it is kept: what is wrong, what is unlikely, what comes out."""

from __future__ import annotations

from typing import Any

from repairs.gauges.base.errors import GaugeInputError
from repairs.readings import actions
from repairs.readings.gauge_refusals import cell_refused, refusal_words
from repairs.readings.parse import Parsed, Problem, parse
from repairs.readings.sheets.base import Sheet
from repairs.readings.slips import Shows


def weighed(
    sheet: Sheet, raw: dict[str, Any], shows: Shows | None = None
) -> tuple[list[Problem], list[Problem], actions.Computed | None]:
    """What is wrong, what is unlikely, and what the gauge makes of it when nothing is wrong."""
    parsed = parse(sheet, raw, shows)
    if parsed.problems:
        return parsed.problems, parsed.doubts, None
    try:
        return [], parsed.doubts, actions.compute_parsed(sheet, parsed)
    except GaugeInputError as refusal:
        return [_gauge_problem(sheet, refusal, parsed)], parsed.doubts, None


def _gauge_problem(sheet: Sheet, refusal: GaugeInputError, parsed: Parsed) -> Problem:
    """The refusal at its cell, with the number that its row has on the page.

    One about a figure that nobody types (the density of a strip) stands at the first cell.
    """
    cell = cell_refused(sheet, refusal)
    row = refusal.row
    if not sheet.columns or cell in sheet.cells:
        key = (cell or sheet.cells[0]).key
        return Problem(key, None, refusal_words(sheet, refusal))
    key = (cell or sheet.columns[0]).key
    if row is None:
        return Problem(key, None, refusal_words(sheet, refusal), at=f"{key}-1")
    refusal.row = parsed.places[row - 1] if row <= len(parsed.places) else row
    return Problem(key, refusal.row, refusal_words(sheet, refusal))
