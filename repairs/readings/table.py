"""The entry table as the page lays it out: cells with names, what was typed, what is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from repairs.readings.parse import Problem
from repairs.readings.sheets.base import Cell, Sheet


@dataclass(frozen=True)
class TypedCell:
    """One input: its name in the form, its cell, what stands in it, the sentence about it."""

    name: str
    cell: Cell
    typed: str
    problem: str

    @property
    def words(self) -> str:
        """What was typed or chosen, as the page says it."""
        return str(dict(self.cell.choices).get(self.typed, self.typed))


@dataclass(frozen=True)
class Table:
    """The whole sheet: single cells, heads of the columns, rows of cells."""

    cells: tuple[TypedCell, ...]
    heads: tuple[Cell, ...]
    rows: tuple[tuple[TypedCell, ...], ...]


def table_of(sheet: Sheet, raw: Mapping[str, Any], problems: Sequence[Problem]) -> Table:
    """Lay out the sheet with what was typed and the problems beside their cells."""
    said = {(p.key, p.row): p.words for p in problems}
    cells = tuple(
        TypedCell(c.key, c, raw["fields"].get(c.key, ""), said.get((c.key, None), ""))
        for c in sheet.cells
    )
    rows = tuple(
        tuple(
            TypedCell(f"{c.key}-{n}", c, row.get(c.key, ""), said.get((c.key, n), ""))
            for c in sheet.columns
        )
        for n, row in enumerate(raw["rows"], 1)
    )
    return Table(cells, sheet.columns, rows)
