"""What was typed for a reading, in the words of its sheet, as the annex of a report prints it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import ngettext

from repairs.papers.blocks.typed_document import AnnexBlock, TypedBlock, TypedLine
from repairs.readings.models import Reading
from repairs.readings.sheets.base import Cell, Sheet
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.table import TypedCell, table_of


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
