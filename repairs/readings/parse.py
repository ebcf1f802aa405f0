"""From what was typed to what a gauge takes: commas, places, the impossible and the unlikely."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from repairs.fields import read_decimal
from repairs.readings.sheets.base import Cell, Sheet

Raw = Mapping[str, Any]


@dataclass(frozen=True)
class Problem:
    """A sentence about one cell: which, in which row (from 1), and what to do."""

    key: str
    row: int | None
    words: str


@dataclass
class Parsed:
    """Values by cell; ``problems`` stop the saving, ``doubts`` only ask."""

    values: dict[str, Any] = field(default_factory=dict)
    rows: list[dict[str, Any]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    doubts: list[Problem] = field(default_factory=list)


def raw_of(sheet: Sheet, post: Mapping[str, Any]) -> dict[str, Any]:
    """Pick the typed words of the sheet out of a form, as they were typed.

    A table's cells are called ``key-1``, ``key-2`` …; rows that are empty all along are dropped.
    """
    fields = {cell.key: str(post.get(cell.key, "")).strip() for cell in sheet.cells}
    rows = []
    for number in range(1, sheet.most_rows + 1):
        names = {column.key: f"{column.key}-{number}" for column in sheet.columns}
        if not any(name in post for name in names.values()):
            break
        rows.append({key: str(post.get(name, "")).strip() for key, name in names.items()})
    return {"fields": fields, "rows": rows}


def parse(sheet: Sheet, raw: Raw) -> Parsed:
    """Read every typed cell; never raises, but collects what is wrong and what is unlikely."""
    parsed = Parsed()
    for cell in sheet.cells:
        parsed.values[cell.key] = _read(cell, raw["fields"].get(cell.key, ""), None, parsed)
    asked = [column for column in sheet.columns if column.required]
    for number, row in enumerate(raw["rows"], 1):
        if not any(row.get(column.key) for column in asked):
            continue
        parsed.rows.append(
            {c.key: _read(c, row.get(c.key, ""), number, parsed) for c in sheet.columns}
        )
    if sheet.columns and len(parsed.rows) < sheet.least_rows:
        words = _("%(count)s rows are filled; at least %(least)s are needed.") % {
            "count": len(parsed.rows),
            "least": sheet.least_rows,
        }
        parsed.problems.append(Problem(sheet.columns[0].key, None, words))
    return parsed


def _read(cell: Cell, typed: str, row: int | None, parsed: Parsed) -> Any:
    if not typed:
        if cell.required and cell.kind not in ("tick", "text", "long"):
            _note(parsed.problems, cell, row, _("is missing."))
        return None if cell.kind == "number" else ""
    if cell.kind == "choice" and typed not in dict(cell.choices):
        _note(
            parsed.problems,
            cell,
            row,
            _("“%(typed)s” is not one of the choices.") % {"typed": typed},
        )
        return ""
    if cell.kind != "number":
        return typed
    return _read_number(cell, typed, row, parsed)


def _read_number(cell: Cell, typed: str, row: int | None, parsed: Parsed) -> float | None:
    try:
        number = read_decimal(typed)
    except ValidationError as fault:
        _note(parsed.problems, cell, row, " ".join(fault.messages))
        return None
    value = float(number) if number is not None else None
    if value is None:
        return None
    if cell.least is not None and value < cell.least:
        _note(
            parsed.problems,
            cell,
            row,
            _("%(typed)s is less than %(limit)s %(unit)s: impossible.")
            % {"typed": typed, "limit": f"{cell.least:g}", "unit": cell.unit},
        )
    elif cell.most is not None and value > cell.most:
        _note(
            parsed.problems,
            cell,
            row,
            _("%(typed)s is more than %(limit)s %(unit)s: impossible. Check the unit.")
            % {"typed": typed, "limit": f"{cell.most:g}", "unit": cell.unit},
        )
    elif cell.likely is not None and not cell.likely[0] <= value <= cell.likely[1]:
        _note(
            parsed.doubts,
            cell,
            row,
            _("%(typed)s %(unit)s is unusual here. Look again, or tick that it is so.")
            % {"typed": typed, "unit": cell.unit},
        )
    return value


def _note(heap: list[Problem], cell: Cell, row: int | None, words: str) -> None:
    heap.append(Problem(cell.key, row, f"{cell_name(cell, row)}: {words}"))


def cell_name(cell: Cell, row: int | None) -> str:
    """The cell as a sentence names it: “Reading, row 7”."""
    label = str(cell.label)
    label = label[:1].upper() + label[1:]
    return _("%(label)s, row %(row)s") % {"label": label, "row": row} if row else label


def column_values(rows: Sequence[Mapping[str, Any]], key: str) -> list[Any]:
    return [row[key] for row in rows]


def filled(rows: Iterable[Mapping[str, Any]], key: str) -> list[Mapping[str, Any]]:
    """Rows in which that cell is given."""
    return [row for row in rows if row.get(key) is not None]
