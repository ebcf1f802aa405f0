"""The entry table as the page lays it out: cells with names, what was typed, what is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from repairs.instruments.pattern import Kind
from repairs.language.text import labelled
from repairs.readings.parse import Problem, cell_name
from repairs.readings.pitches import fork_hz, read_as
from repairs.readings.sheets.base import Cell, Sheet, Text
from repairs.readings.slips import unit_of
from repairs.readings.where import Where, drawings_for

MOST_IN_SIGHT = 3  # as in js/readings/pad.js
MOST_ON_PAPER = 12  # choices that a print for the bench lists, to be ticked by hand


@dataclass(frozen=True)
class TypedCell:
    """One input: its name in the form, its cell, what stands in it, the sentence about it.

    ``known``: where a value was taken over from, which nobody measured now. ``read_as``: what a
    pitch that was typed as a note was read as.
    """

    name: str
    cell: Cell
    typed: str
    problem: str
    where: Where | None = None
    known: str = ""
    read_as: str = ""

    @property
    def options(self) -> tuple[tuple[str, Text, str], ...]:
        """The choices: value, words, and the unit that each means, if it is one of units."""
        units = dict(self.cell.units)
        return tuple((value, words, units.get(value, "")) for value, words in self.cell.choices)

    @property
    def to_tick(self) -> tuple[str, ...]:
        """The choices that a print lists where none was made: a pencil cannot open a list."""
        return () if self.typed else choices_on_paper(self.cell)

    @property
    def words(self) -> str:
        """What was typed or chosen, as the page says it; of a note what it was read as."""
        if self.read_as:
            return f"{self.typed} → {self.read_as}"
        return str(dict(self.cell.choices).get(self.typed, self.typed))


@dataclass(frozen=True)
class Table:
    """The whole sheet: single cells, heads of the columns, where they are taken, rows of cells."""

    cells: tuple[TypedCell, ...]
    heads: tuple[Cell, ...]
    places: tuple[Where, ...]
    rows: tuple[tuple[TypedCell, ...], ...]

    @property
    def to_write(self) -> tuple[tuple[Cell, tuple[str, ...]], ...]:
        """What may be written into the columns of choices, told once below the table."""
        told = ((head, choices_on_paper(head)) for head in self.heads if not head.index)
        return tuple((head, words) for head, words in told if words)

    @property
    def is_wide(self) -> bool:
        """Whether a row has more fields than stand above the figure keys of a phone."""
        walked = [head for head in self.heads if not (head.index or head.seldom)]
        return len(walked) > MOST_IN_SIGHT


def choices_on_paper(cell: Cell) -> tuple[str, ...]:
    """The words of a choice, where they are few enough to be read at a glance."""
    words = tuple(str(label) for _value, label in cell.choices)
    return words if len(words) <= MOST_ON_PAPER else ()


def table_of(
    sheet: Sheet,
    raw: Mapping[str, Any],
    problems: Sequence[Problem],
    kind: Kind | None = None,
    known: Mapping[str, str] | None = None,
) -> Table:
    """Lay out the sheet with what was typed and the problems beside their cells.

    With a kind of instrument each value knows the drawings of where it is measured on one.
    """
    said = {(p.key, p.row): p.words for p in problems}
    known = known or {}
    fork = fork_hz(raw["fields"])
    cells = tuple(
        TypedCell(
            c.key,
            _with_unit(sheet, c, raw),
            raw["fields"].get(c.key, ""),
            said.get((c.key, None), ""),
            _where(sheet, c, kind),
            known.get(c.key, ""),
            _read_as(c, raw["fields"].get(c.key, ""), fork),
        )
        for c in sheet.cells
    )
    heads = tuple(_with_unit(sheet, column, raw) for column in sheet.columns)
    rows = tuple(_row(heads, n, row, (said, known, fork)) for n, row in enumerate(raw["rows"], 1))
    return Table(cells, heads, _places(sheet, kind), rows)


def _with_unit(sheet: Sheet, cell: Cell, raw: Mapping[str, Any]) -> Cell:
    """The cell with the unit that was chosen for it."""
    return replace(cell, unit=unit_of(sheet, cell, raw["fields"])) if cell.unit_of else cell


def _row(
    heads: Sequence[Cell],
    number: int,
    row: Mapping[str, str],
    beside: tuple[Mapping[tuple[str, int | None], str], Mapping[str, str], float],
) -> tuple[TypedCell, ...]:
    """The cells of a row under the names that a browser sends; ``beside``: problems, sources and
    the fork."""
    said, known, fork = beside
    names = {c.key: f"{c.key}-{number}" for c in heads}
    return tuple(
        TypedCell(
            names[c.key],
            c,
            row.get(c.key, ""),
            said.get((c.key, number), ""),
            known=known.get(names[c.key], ""),
            read_as=_read_as(c, row.get(c.key, ""), fork),
        )
        for c in heads
    )


def _read_as(cell: Cell, typed: str, fork: float) -> str:
    return read_as(cell, typed, fork) if cell.is_pitch else ""


def _where(sheet: Sheet, cell: Cell, kind: Kind | None) -> Where | None:
    drawings = drawings_for(kind, sheet.gauge, cell.key) if kind else ()
    return Where(str(cell.label), drawings) if drawings else None


def _places(sheet: Sheet, kind: Kind | None) -> tuple[Where, ...]:
    """Where the columns are measured; those that share their drawings stand together."""
    labels: dict[tuple[str, ...], list[str]] = {}
    for column in sheet.columns:
        if where := _where(sheet, column, kind):
            labels.setdefault(where.drawings, []).append(where.label)
    return tuple(Where(", ".join(said), drawings) for drawings, said in labels.items())


def said_back(table: Table) -> list[str]:
    """Each pitch that was typed as a note, with what it was read as."""
    named: list[tuple[int | None, TypedCell]] = [(None, typed) for typed in table.cells]
    named += [(n, typed) for n, row in enumerate(table.rows, 1) for typed in row]
    return [
        labelled(cell_name(typed.cell, row), typed.words) for row, typed in named if typed.read_as
    ]
