"""Readings as data: what was typed, letter by letter, and each figure with all its digits."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Any

from repairs.papers.blocks.typed import file_name
from repairs.papers.carried.document import (
    AdviceData,
    CellData,
    FigureData,
    FileData,
    Quantity,
    RawData,
    ReadingData,
    ToolData,
)
from repairs.press.document import Enclosure
from repairs.readings.models import Prescription, Reading, Tool
from repairs.readings.sheets.base import Cell, Sheet
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.show import FigureRow, figure_rows, prescription_words

EMPTY: dict[str, Any] = {"fields": {}, "rows": []}


def reading_data(row: Reading) -> ReadingData:
    """One reading; of one that was not permitted nothing is claimed, and nothing was typed."""
    sheet, result = sheet_of(row.gauge), row.latest
    return ReadingData(
        number=row.number,
        gauge=row.gauge,
        title=str(sheet.label),
        subject=row.subject,
        phase=row.phase,
        round=row.round,
        taken_at=row.taken_at,
        taken_by=str(row.taken_by),
        tool=_tool(row.tool),
        room_temperature=quantity(row.room_t_c, "°C"),
        room_humidity=quantity(row.room_rh_pct, "%"),
        not_permitted=row.not_permitted,
        note=row.note,
        raw=_raw(sheet, row),
        version=result.version if result else "",
        computed_at=result.computed_at if result else None,
        figures=tuple(_figures(row)),
        advice=tuple(_advice(one) for one in result.prescriptions.all()) if result else (),
        warnings=tuple(str(one) for one in sheet.warnings(result.output)) if result else (),
    )


def files_of(rows: Iterable[Reading]) -> tuple[Enclosure, ...]:
    """The files that were handed in for the readings, to travel beside the data as they came."""
    return tuple(
        Enclosure(
            name=file_name(cell, row.number),
            content=typed.encode(),
            description=f"Reading {row.number}, as it was handed in",
        )
        for row in rows
        for cell, typed in _handed_in(row)
    )


def _handed_in(row: Reading) -> Iterator[tuple[Cell, str]]:
    if row.not_permitted:
        return
    for cell in sheet_of(row.gauge).cells:
        typed = str(row.raw["fields"].get(cell.key, ""))
        if cell.kind == "file" and typed:
            yield cell, typed


def quantity(value: Decimal | float | None, unit: str) -> Quantity | None:
    """A number with its unit; None where it is not known."""
    return None if value is None else Quantity(value=float(value), unit=unit)


def _tool(tool: Tool | None) -> ToolData | None:
    if tool is None:
        return None
    resolution = Quantity(value=float(tool.resolution), unit=tool.unit)
    return ToolData(name=tool.name, resolution=resolution, checked_on=tool.calibrated_on)


def _raw(sheet: Sheet, row: Reading) -> RawData:
    raw = EMPTY if row.not_permitted else row.raw
    files = dict(_handed_in(row))
    return RawData(
        fields={
            key: "" if key in {cell.key for cell in files} else str(typed)
            for key, typed in raw["fields"].items()
        },
        rows=tuple({key: str(typed) for key, typed in one.items()} for one in raw["rows"]),
        cells=(
            *(_cell(cell, in_rows=False) for cell in sheet.cells),
            *(_cell(column, in_rows=True) for column in sheet.columns),
        ),
        files=tuple(_file(cell, typed, row.number) for cell, typed in files.items()),
    )


def _cell(cell: Cell, *, in_rows: bool) -> CellData:
    return CellData(
        key=cell.key, label=str(cell.label), unit=str(cell.unit), kind=cell.kind, in_rows=in_rows
    )


def _file(cell: Cell, typed: str, number: int) -> FileData:
    data = typed.encode()
    return FileData(
        cell=cell.key,
        name=file_name(cell, number),
        sha256=hashlib.sha256(data).hexdigest(),
        size_bytes=len(data),
    )


def _figures(row: Reading) -> Iterator[FigureData]:
    result = row.latest
    if result is None:
        return
    for verdict, said in zip(result.verdicts.all(), figure_rows(row), strict=True):
        yield figure_data(said, lower=verdict.lower, upper=verdict.upper, source=verdict.source)


def figure_data(
    said: FigureRow, *, lower: float | None, upper: float | None, source: str
) -> FigureData:
    """One figure with the limit that it was held against."""
    return FigureData(
        key=said.key,
        label=said.label,
        value=said.raw,
        u=said.raw_u,
        unit=said.unit,
        digits=said.digits,
        lower=lower,
        upper=upper,
        source=source,
        verdict=said.word,
    )


def _advice(row: Prescription) -> AdviceData:
    return AdviceData(
        code=row.code,
        target=row.target,
        amount=row.amount,
        u=row.u,
        unit=row.unit,
        irreversible=row.irreversible,
        details=row.details,
        words=prescription_words(row),
    )
