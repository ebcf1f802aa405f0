"""All entry sheets by the name of their gauge, and those that a kind of instrument names."""

from __future__ import annotations

from dataclasses import replace

from django.utils.functional import lazy

from repairs.cases.models import Case
from repairs.instruments.pattern import Kind, KindSheet
from repairs.instruments.refusals import KindFileError
from repairs.language.text import in_language
from repairs.readings.models import Reading
from repairs.readings.sheets import (
    action,
    air,
    bowing,
    cards,
    climate,
    force,
    keyboard,
    keyboard_more,
    plate,
    strings,
    wheel,
    wood,
)
from repairs.readings.sheets.base import Cell, Sheet

ALL = (
    wheel.SHEET,
    keyboard.SHEET,
    keyboard_more.TANGENTS,
    keyboard_more.SHARPENING,
    keyboard_more.RETURN,
    action.SHEET,
    strings.SHEET,
    cards.VOICING,
    bowing.SHEET,
    force.SHEET,
    cards.DOG,
    plate.SHEET,
    wood.CRACK,
    wood.CLEATS,
    wood.CLAMP,
    wood.TAP,
    air.MOVEMENT,
    air.EMC,
    climate.SHEET,
)
SHEETS = {sheet.gauge: sheet for sheet in ALL}


def sheet_of(gauge: str) -> Sheet:
    """Return the whole sheet; KeyError when no gauge of that name has one."""
    return SHEETS[gauge]


def sheets_for(case: Case) -> list[Sheet]:
    """Those that the kind of instrument names, each as that kind wants it."""
    return sheets_of_kind(case.instrument.pattern)


def sheet_for(case: Case, gauge: str) -> Sheet:
    """The sheet as this kind of instrument wants it; KeyError when the kind names none."""
    return {sheet.gauge: sheet for sheet in sheets_for(case)}[gauge]


def sheet_kept(reading: Reading) -> Sheet:
    """The sheet of a reading on record, whole where the kind names it no longer."""
    fitting = {sheet.gauge: sheet for sheet in sheets_for(reading.case)}
    return fitting.get(reading.gauge) or sheet_of(reading.gauge)


def sheets_of_kind(kind: Kind) -> list[Sheet]:
    """The sheets of a kind, in the order of the catalogue.

    Raises KindFileError when its file names a sheet or a cell that does not exist, or one that
    needs a leave which nobody can give for that kind.
    """
    wanted = {one.gauge: one for one in kind.sheets}
    for gauge in wanted:
        if gauge not in SHEETS:
            raise _wrong(kind, gauge, f"no such sheet. There are: {', '.join(SHEETS)}.")
    return [_as_wanted(sheet, wanted[sheet.gauge], kind) for sheet in ALL if sheet.gauge in wanted]


def _as_wanted(sheet: Sheet, wish: KindSheet, kind: Kind) -> Sheet:
    """The sheet without what the kind has not, and with what is usual for it filled in."""
    _check(sheet, wish, kind)
    columns = [column for column in sheet.columns if column.key not in wish.without]
    return replace(
        sheet,
        cells=tuple(_offered(cell, wish) for cell in sheet.cells if cell.key not in wish.without),
        columns=tuple(_named(column, kind) for column in columns),
    )


def _offered(cell: Cell, wish: KindSheet) -> Cell:
    return replace(cell, default=wish.defaults.get(cell.key, cell.default))


def _named(column: Cell, kind: Kind) -> Cell:
    """A column about a melody string bears the kind's name for it: not all are chanterelles."""
    melody = [string for string in kind.strings if string.role == "melody"]
    if not 0 < column.melody <= len(melody):
        return column
    words = melody[column.melody - 1].label
    return replace(column, label=lazy(in_language, str)(words))


def _check(sheet: Sheet, wish: KindSheet, kind: Kind) -> None:
    permission = sheet.needs.removeprefix("may_")
    if permission and permission not in kind.permissions:
        raise _wrong(kind, sheet.gauge, f"it needs “{permission}”: write it under permissions.")
    cells = {cell.key: cell for cell in sheet.cells}
    for name in wish.defaults:
        if name not in cells:
            raise _wrong(kind, sheet.gauge, f"defaults: it has no cell “{name}”.")
    cells |= {column.key: column for column in sheet.columns}
    for name in wish.without:
        if name not in cells:
            raise _wrong(kind, sheet.gauge, f"without: it has no cell “{name}”.")
        if cells[name].required:
            raise _wrong(kind, sheet.gauge, f"without: it cannot do without “{name}”.")


def _wrong(kind: Kind, gauge: str, mend: str) -> KindFileError:
    return KindFileError(
        file=f"fixtures/kinds/{kind.slug}.json", field=f"sheets, {gauge}", mend=mend
    )
