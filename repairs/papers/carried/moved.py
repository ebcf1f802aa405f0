"""Which typed value was moved: the annex still prints another, or the figures stated need another.

A raw value stands in a report three times: in the data, in the annex in words, and hidden in the
figures that follow from it. Whoever moves one of the three is told on by the others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from repairs.gauges.base.errors import GaugeInputError
from repairs.papers.blocks.typed import typed_block
from repairs.papers.blocks.typed_document import TypedBlock
from repairs.papers.carried.document import RawData, ReadingData
from repairs.papers.carried.recompute import Outcome, computed_of, typed_of
from repairs.readings.actions import differ
from repairs.readings.pitches import fork_hz, read_cell
from repairs.readings.sheets.base import Cell, Sheet
from repairs.readings.sheets.catalogue import SHEETS
from repairs.screens.fields import read_decimal

# A wheel of 72 places is tried in a second or two; a keyboard of 60 keys in less.
MOST_RUNS = 6000
MOST_STEPS = 14
MOST_PLACES = 4  # behind the point, of a value that someone typed
CLOSE = 1e-7
Figures = Mapping[str, float]


@dataclass(frozen=True)
class Moved:
    """One typed value that is not what it was; ``row`` is None for a single cell.

    ``printed`` is what the annex says, ``follows`` from what the figures stated follow; either is
    None where it does not tell.
    """

    reading: int
    gauge: str
    row: int | None
    cell: str
    label: str
    carried: str
    printed: str | None = None
    follows: str | None = None


def moved_values(
    outcome: Outcome, annex: Mapping[int, TypedBlock], files: Mapping[str, bytes], *, differs: bool
) -> list[Moved]:
    """The typed values of a reading that were moved.

    The figures are asked only where some differ: it takes many computations.
    """
    reading, sheet = outcome.reading, SHEETS.get(outcome.reading.gauge)
    if sheet is None:
        return []
    printed = annex.get(reading.number)
    told = [] if printed is None else list(_unlike(sheet, reading, printed))
    if not differs or not outcome.is_same_version:
        return told
    return _joined(told, list(_needed(sheet, reading, files)))


def _joined(told: list[Moved], needed: list[Moved]) -> list[Moved]:
    """Each value once, with both witnesses where both speak of it."""
    follows = {(one.row, one.cell): one for one in needed}
    both = [
        replace(one, follows=follows.pop((one.row, one.cell)).follows)
        if (one.row, one.cell) in follows
        else one
        for one in told
    ]
    return [*both, *follows.values()]


def _unlike(sheet: Sheet, reading: ReadingData, printed: TypedBlock) -> Iterator[Moved]:
    """Values that the annex prints otherwise."""
    carried = typed_block(sheet, _raw(reading.raw), reading.number)
    files = {cell.key for cell in sheet.cells if cell.kind == "file"}
    ours, theirs = _by_place(carried), _by_place(printed)
    for place in [*ours, *(place for place in theirs if place not in ours)]:
        (row, key), was, now = place, theirs.get(place, ("", "")), ours.get(place, ("", ""))
        if key not in files and was[1] != now[1]:
            yield Moved(
                reading=reading.number,
                gauge=reading.gauge,
                row=row,
                cell=key,
                label=now[0] or was[0],
                carried=now[1],
                printed=was[1],
            )


def _raw(raw: RawData) -> dict[str, Any]:
    return {"fields": dict(raw.fields), "rows": [dict(row) for row in raw.rows]}


def _by_place(block: TypedBlock) -> dict[tuple[int | None, str], tuple[str, str]]:
    """Label and words by row and cell, without what is empty."""
    found: dict[tuple[int | None, str], tuple[str, str]] = {
        (None, line.key): (line.label, line.words[0]) for line in block.cells if line.words
    }
    for line in block.columns:
        for number, word in zip(block.numbers, line.words, strict=False):
            if word:
                found[number, line.key] = line.label, word
    return found


def _needed(sheet: Sheet, reading: ReadingData, files: Mapping[str, bytes]) -> Iterator[Moved]:
    """Values of which one alone, moved to where it says, makes every figure as stated."""
    raw = typed_of(reading.raw, files)
    stated = {one.key: one.value for one in reading.figures}
    trial = _Trial(sheet, raw, stated)
    for row, cell in _numbers(sheet, raw):
        found = trial.solve(row, cell)
        if found is not None:
            yield Moved(
                reading=reading.number,
                gauge=reading.gauge,
                row=row,
                cell=cell.key,
                label=str(cell.label),
                carried=_cell_of(raw, row)[cell.key],
                follows=found,
            )


def _numbers(sheet: Sheet, raw: Mapping[str, Any]) -> Iterator[tuple[int | None, Cell]]:
    """Each number that was typed: in the table by its row, then the single ones."""
    for number, row in enumerate(raw["rows"], 1):
        for column in sheet.columns:
            if column.kind == "number" and row.get(column.key):
                yield number, column
    for cell in sheet.cells:
        if cell.kind == "number" and raw["fields"].get(cell.key):
            yield None, cell


def _cell_of(raw: Mapping[str, Any], row: int | None) -> dict[str, str]:
    cells: dict[str, str] = raw["fields"] if row is None else raw["rows"][row - 1]
    return cells


def _start(cell: Cell, typed: str, raw: Mapping[str, Any]) -> float:
    """The number that was typed, or the pitch of a note."""
    if cell.is_pitch:
        return read_cell(cell, typed, fork_hz(raw["fields"])).hz
    return float(read_decimal(typed) or 0)


class _Trial:
    """Tries other values in the place of one, until the figures are those stated."""

    def __init__(self, sheet: Sheet, raw: dict[str, Any], stated: Figures) -> None:
        self.sheet, self.raw, self.stated = sheet, raw, stated
        self.runs = 0

    def solve(self, row: int | None, cell: Cell) -> str | None:
        """The value, as one would have typed it, that explains every figure; or None."""
        cells = _cell_of(self.raw, row)
        typed = cells[cell.key]
        start = _start(cell, typed, self.raw)

        def figures(value: float) -> Figures:
            cells[cell.key] = f"{value:.12f}"
            return self._run()

        try:
            return self._solved(figures, start, typed)
        except (GaugeInputError, ValueError, _OutOfRunsError):
            return None
        finally:
            cells[cell.key] = typed

    def _run(self) -> Figures:
        self.runs += 1
        if self.runs > MOST_RUNS:
            raise _OutOfRunsError
        return {one.key: one.value for one in computed_of(self.sheet, self.raw).figures}

    def _solved(self, figures: Callable[[float], Figures], start: float, typed: str) -> str | None:
        step = max(abs(start) * 0.01, 0.01)
        first, beside = figures(start), figures(start + step)
        for key in self._telling(first, beside):
            value = self._secant(figures, key, (start, first[key]), (start + step, beside[key]))
            if value is None:
                continue
            for places in range(MOST_PLACES + 1):
                if self._explains(figures(round(value, places))):
                    words = f"{round(value, places):.{places}f}"
                    return words.replace(".", ",") if "," in typed else words
        return None

    def _telling(self, first: Figures, beside: Figures) -> list[str]:
        """Figures that move with the value, those furthest from what is stated first."""
        moving = [
            key
            for key, value in first.items()
            if key in self.stated and key in beside and beside[key] != value
        ]
        return sorted(moving, key=lambda key: -abs(first[key] - self.stated[key]))[:3]

    def _secant(
        self,
        figures: Callable[[float], Figures],
        key: str,
        first: tuple[float, float],
        second: tuple[float, float],
    ) -> float | None:
        """Where the figure is as stated, by the rule of false position on the last two trials."""
        wanted = self.stated[key]
        (x0, y0), (x1, y1) = first, second
        for _step in range(MOST_STEPS):
            if abs(y1 - wanted) <= CLOSE * max(1.0, abs(wanted)):
                return x1
            if y1 == y0:
                return None
            x0, x1 = x1, x1 + (wanted - y1) * (x1 - x0) / (y1 - y0)
            y0, y1 = y1, figures(x1).get(key, y1)
        return None

    def _explains(self, now: Figures) -> bool:
        return now.keys() == self.stated.keys() and not any(
            differ(self.stated[key], now[key]) for key in now
        )


class _OutOfRunsError(Exception):
    """Enough was tried: the row is not named, the reading is."""
