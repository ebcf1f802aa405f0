"""What was typed for a reading, as the annex of a report prints it: letter by letter, by row.

A row of the sheet stands as a column here: two dozen readings of a dial are then four lines, not
half a page.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import ngettext

from repairs.readings.models import Reading
from repairs.readings.sheets.base import Cell, Sheet
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.table import TypedCell, table_of

# How many rows of the sheet stand side by side, by the length of the longest word in them.
ABREAST = ((7, 12), (12, 8), (24, 4))
FEWEST_ABREAST = 2


@dataclass(frozen=True, kw_only=True)
class TypedLine:
    """One cell with what was typed into it; of a column, what was typed in each row."""

    key: str
    label: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Band:
    """Some rows of the sheet, side by side: their numbers, then each column across them."""

    numbers: tuple[str, ...]
    lines: tuple[TypedLine, ...]


@dataclass(frozen=True, kw_only=True)
class TypedBlock:
    """All that was typed; cells and columns that were left empty are left out.

    ``numbers`` are those of the rows, counted from 1 with the empty ones.
    """

    cells: tuple[TypedLine, ...]
    numbers: tuple[int, ...]
    columns: tuple[TypedLine, ...]

    @property
    def bands(self) -> tuple[Band, ...]:
        """The rows in as many bands as the paper's width asks for, the last one filled up."""
        longest = max((len(word) for line in self.columns for word in line.words), default=0)
        abreast = next((count for most, count in ABREAST if longest <= most), FEWEST_ABREAST)
        starts = range(0, len(self.numbers), abreast)
        return tuple(self._band(start, abreast, fill=len(starts) > 1) for start in starts)

    def _band(self, start: int, abreast: int, *, fill: bool) -> Band:
        numbers = [str(number) for number in self.numbers[start : start + abreast]]
        empty = ("",) * (abreast - len(numbers)) if fill else ()
        lines = tuple(
            TypedLine(
                key=line.key,
                label=line.label,
                words=(*line.words[start : start + abreast], *empty),
            )
            for line in self.columns
        )
        return Band((*numbers, *empty), lines)


@dataclass(frozen=True, kw_only=True)
class AnnexBlock:
    """One reading in the annex of a report: which it is, and all that was typed for it."""

    number: int
    title: str
    subject: str
    phase: str
    typed: TypedBlock


def annex_blocks(rows: Iterable[Reading]) -> tuple[AnnexBlock, ...]:
    """What was typed for each reading; of one that was not permitted nothing was."""
    return tuple(
        AnnexBlock(
            number=row.number,
            title=str(sheet_of(row.gauge).label),
            subject=row.subject,
            phase=str(row.get_phase_display()),
            typed=typed_block(sheet_of(row.gauge), row.raw, row.number),
        )
        for row in rows
        if not row.not_permitted
    )


def typed_block(sheet: Sheet, raw: Mapping[str, Any], number: int) -> TypedBlock:
    """What was typed for reading ``number``, with the words of the sheet in the language in force.

    Of a file that was handed in only its length stands here: it is enclosed as it came.
    """
    table = table_of(sheet, raw, [])
    kept = [
        (place, row)
        for place, row in enumerate(table.rows, 1)
        if any(cell.typed for cell in row if not cell.cell.index)
    ]
    columns = (
        TypedLine(
            key=head.key,
            label=cell_label(head),
            words=tuple(row[place].words for _number, row in kept),
        )
        for place, head in enumerate(table.heads)
    )
    return TypedBlock(
        cells=tuple(
            TypedLine(key=cell.cell.key, label=cell_label(cell.cell), words=(_said(cell, number),))
            for cell in table.cells
            if cell.typed
        ),
        numbers=tuple(place for place, _row in kept),
        columns=tuple(line for line in columns if any(line.words)),
    )


def cell_label(cell: Cell) -> str:
    """“diameter of the wheel (mm)”."""
    return f"{cell.label} ({cell.unit})" if cell.unit else str(cell.label)


def file_name(cell: Cell, number: int) -> str:
    """Under which name the file handed in for that cell of reading ``number`` is enclosed."""
    return f"reading-{number}.{cell.key}"


def _said(cell: TypedCell, number: int) -> str:
    if cell.cell.kind != "file":
        return cell.words
    count = len(cell.typed.splitlines())
    words = ngettext(
        "%(count)s line, enclosed as %(name)s", "%(count)s lines, enclosed as %(name)s", count
    )
    return words % {"count": count, "name": file_name(cell.cell, number)}
