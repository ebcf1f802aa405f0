"""Units that slipped: what no tool shows, whole sets smaller than what it shows or than a plate.

Twenty-four values in millimetres, taken for hundredths, make a wheel that runs true to a
thousandth: nothing in them is impossible, so they are asked about before they are kept.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from repairs.language.text import labelled, uses_comma
from repairs.readings.sheets.base import Cell, Sheet

ENOUGH = 4  # values, of which one is not like the others by chance
BY_EYE = 10  # parts of a division that a practised eye tells
ROUNDING = 1e-6


@dataclass(frozen=True)
class Shows:
    """What the tool in hand shows, and in which unit."""

    resolution: float
    unit: str


@dataclass(frozen=True)
class Slip:
    """A cell, the row of its first value that cannot have been read, and the sentence."""

    cell: Cell
    row: int
    words: str


def slips(
    sheet: Sheet,
    values: Mapping[str, Any],
    rows: list[dict[str, Any]],
    places: list[int],
    shows: Shows | None,
) -> Iterator[Slip]:
    """What may have been typed in another unit than the column's, one a column.

    ``places`` are the rows' numbers on the page; ``shows`` is None where no tool was named: a cell
    may then say what is usual.
    """
    for cell in sheet.columns:
        read = [
            (place, row[cell.key])
            for place, row in zip(places, rows, strict=True)
            if isinstance(row.get(cell.key), float) and math.isfinite(row[cell.key])
        ]
        if narrow := _narrow(cell, read):
            yield Slip(cell, *narrow)
            continue
        step = _step(sheet, cell, values, shows)
        if cell.index or not read or step is None:
            continue
        words = _within(cell, sheet, values, read, step) or _finer(cell, sheet, values, read, step)
        if words:
            yield Slip(cell, *words)


def _narrow(cell: Cell, read: list[tuple[int, float]]) -> tuple[int, str] | None:
    """Places in metres or centimetres, taken for millimetres, lie all upon one another."""
    typed = [value for _place, value in read]
    if cell.likely_span is None or len(typed) < ENOUGH:
        return None
    (least, most), spread = cell.likely_span, max(typed) - min(typed)
    if least <= spread <= most:
        return None
    filled = {"spread": said(spread), "least": said(least), "most": said(most), "unit": cell.unit}
    words = _(
        "the places lie within %(spread)s %(unit)s; %(least)s to %(most)s %(unit)s is usual. Look "
        "at the unit (m, cm or mm?), or tick that it is so."
    )
    return read[0][0], labelled(_label(cell), words % filled)


def _step(sheet: Sheet, cell: Cell, values: Mapping[str, Any], shows: Shows | None) -> float | None:
    """What the tool shows, in the unit of the column; None where the two have no common unit."""
    if not cell.unit_of:
        return shows.resolution if shows and shows.unit == cell.unit else None
    scale = sheet.scales.get(str(values.get(cell.unit_of)))
    if scale is None:
        return None
    if shows and shows.unit == "mm":
        return shows.resolution / scale
    return cell.shows_mm / scale if cell.shows_mm else None


def _within(
    cell: Cell,
    sheet: Sheet,
    values: Mapping[str, Any],
    read: list[tuple[int, float]],
    step: float,
) -> tuple[int, str] | None:
    """A whole set within less than one division: only where a choice of unit may have slipped."""
    typed = [value for _place, value in read]
    if not cell.unit_of or len(typed) < ENOUGH or max(typed) - min(typed) >= step:
        return None
    filled = {
        "count": len(typed),
        "spread": said(max(typed) - min(typed)),
        "step": said(step),
        "unit": unit_of(sheet, cell, values),
    }
    words = _(
        "all %(count)s values lie within %(spread)s × %(unit)s, less than the %(step)s × %(unit)s "
        "that the tool shows. Look at the unit, or tick that it is so."
    )
    return read[0][0], labelled(_label(cell), words % filled)


def _finer(
    cell: Cell,
    sheet: Sheet,
    values: Mapping[str, Any],
    read: list[tuple[int, float]],
    step: float,
) -> tuple[int, str] | None:
    """A value with more digits than an eye reads between two divisions."""
    least = step / BY_EYE
    for place, value in read:
        parts = value / least
        if abs(parts - round(parts)) > ROUNDING * max(1.0, abs(parts)):
            filled = {
                "value": said(value),
                "step": said(step),
                "unit": unit_of(sheet, cell, values),
                "row": place,
            }
            words = _(
                "%(value)s × %(unit)s in row %(row)s is finer than the tool reads (%(step)s × "
                "%(unit)s). Look at the unit, or tick that it is so."
            )
            return place, labelled(_label(cell), words % filled)
    return None


def _label(cell: Cell) -> str:
    label = str(cell.label)
    return label[:1].upper() + label[1:]


def said(value: float) -> str:
    """A plain number with the comma or point of the language in force."""
    words = f"{value:g}"
    return words.replace(".", ",") if uses_comma() else words


def unit_of(sheet: Sheet, cell: Cell, values: Mapping[str, Any]) -> str:
    """The unit of a cell, or the one that was chosen for it."""
    if not cell.unit_of:
        return str(cell.unit)
    chooser = next(one for one in sheet.cells if one.key == cell.unit_of)
    return dict(chooser.units).get(str(values.get(cell.unit_of)), "")
