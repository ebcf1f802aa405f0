"""From what was typed to what a gauge takes: commas, places, the impossible and the unlikely."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from repairs.language.pitch import FORK_HZ, PitchError
from repairs.language.pitch_words import fault_words
from repairs.language.text import labelled
from repairs.readings.pitches import asked_words, fork_hz, read_cell
from repairs.readings.sheets.base import Cell, Sheet
from repairs.readings.slips import Shows, said, slips
from repairs.screens.fields import read_decimal

Raw = Mapping[str, Any]
# A climate logger that wrote every minute for five years.
MOST_FILE_BYTES = 40 * 1024 * 1024


@dataclass(frozen=True)
class Problem:
    """A sentence about one cell: which, in which row (from 1), and what to do."""

    key: str
    row: int | None
    words: str
    at: str = ""

    @property
    def anchor(self) -> str:
        """The name of the cell that a link to this problem leads to."""
        return self.at or (f"{self.key}-{self.row}" if self.row else self.key)


@dataclass
class Parsed:
    """Values by cell; ``problems`` stop the saving, ``doubts`` only ask.

    ``places`` holds the number that each of the ``rows`` has on the page, where some stand empty.
    """

    values: dict[str, Any] = field(default_factory=dict)
    rows: list[dict[str, Any]] = field(default_factory=list)
    places: list[int] = field(default_factory=list)
    fork_hz: float = FORK_HZ
    problems: list[Problem] = field(default_factory=list)
    doubts: list[Problem] = field(default_factory=list)


def raw_of(
    sheet: Sheet, post: Mapping[str, Any], files: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Pick the typed words of the sheet out of a form, as they were typed.

    A table's cells are called ``key-1``, ``key-2`` …; empty rows stay, so that each keeps its
    number. A zero byte, which no database takes, is left out.
    """
    fields = {cell.key: _typed(post, cell.key) for cell in sheet.cells}
    for cell in sheet.cells:
        file = (files or {}).get(cell.key)
        if cell.kind == "file" and file is not None:
            fields[cell.key] = _text_of(file.read(MOST_FILE_BYTES))
    rows = []
    for number in range(1, sheet.most_rows + 1):
        names = {column.key: f"{column.key}-{number}" for column in sheet.columns}
        if not any(name in post for name in names.values()):
            break
        rows.append({key: _typed(post, name) for key, name in names.items()})
    return {"fields": fields, "rows": rows}


def _typed(post: Mapping[str, Any], name: str) -> str:
    return str(post.get(name, "")).replace("\0", "").strip()


def _text_of(data: bytes) -> str:
    """The words of a text file, whatever program wrote it."""
    wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    for encoding in ("utf-16" if wide else "utf-8-sig", "cp1252"):
        try:
            return data.decode(encoding).replace("\0", "")
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1").replace("\0", "")


def parse(sheet: Sheet, raw: Raw, shows: Shows | None = None) -> Parsed:
    """Read every typed cell; never raises, but collects what is wrong and what is unlikely.

    ``shows``: what the tool in hand shows, where one was named.
    """
    parsed = Parsed(fork_hz=fork_hz(raw["fields"]))
    for cell in sheet.cells:
        parsed.values[cell.key] = _read(cell, raw["fields"].get(cell.key, ""), None, parsed)
    said = [cell for cell in sheet.cells if raw["fields"].get(cell.key) and not cell.required]
    if len(said) < sheet.least_cells:
        words = _("Nothing is noted yet: fill in what was looked at.")
        parsed.problems.append(Problem(sheet.cells[-1].key, None, words))
    filled = _read_rows(sheet, raw, parsed)
    for slip in slips(sheet, parsed.values, parsed.rows, parsed.places, shows):
        parsed.doubts.append(Problem(slip.cell.key, slip.row, slip.words))
    if sheet.columns and filled < sheet.least_rows:
        words = _("%(count)s rows are filled; at least %(least)s are needed.") % {
            "count": filled,
            "least": sheet.least_rows,
        }
        first = sheet.columns[0].key
        parsed.problems.append(Problem(first, None, words, at=f"{first}-1"))
    return parsed


def _read_rows(sheet: Sheet, raw: Raw, parsed: Parsed) -> int:
    """Read the table; how many of its rows hold a value."""
    filled = 0
    for number, row in enumerate(raw["rows"], 1):
        is_filled = any(row.get(column.key) for column in sheet.columns if not column.index)
        filled += is_filled
        if is_filled or (sheet.keeps_gaps and any(row.values())):
            parsed.rows.append(_read_row(sheet, row, number, parsed, is_gap=not is_filled))
            parsed.places.append(number)
    return filled


def _read_row(
    sheet: Sheet, row: Mapping[str, Any], number: int, parsed: Parsed, *, is_gap: bool
) -> dict[str, Any]:
    """Read one row. Of a gap, a place that was not read, only its name is wanted."""
    return {
        column.key: None
        if is_gap and not column.index
        else _read(column, row.get(column.key, ""), number, parsed)
        for column in sheet.columns
    }


def _read(cell: Cell, typed: str, row: int | None, parsed: Parsed) -> Any:
    if not typed:
        if cell.required and cell.kind != "tick":
            _note(parsed.problems, cell, row, _missing(cell))
        return None if cell.kind == "number" else ""
    if cell.kind == "choice" and typed not in dict(cell.choices):
        _note(
            parsed.problems,
            cell,
            row,
            _("“%(typed)s” is not one of the choices. Choose one of them.") % {"typed": typed},
        )
        return ""
    if cell.kind != "number":
        return typed
    if cell.is_pitch:
        return _read_pitch(cell, typed, row, parsed)
    return _read_number(cell, typed, row, parsed)


def _missing(cell: Cell) -> str:
    if cell.kind == "choice":
        return _("is missing. Choose one.")
    return _("is missing. Type it in.")


def _read_pitch(cell: Cell, typed: str, row: int | None, parsed: Parsed) -> float | None:
    try:
        pitch = read_cell(cell, typed, parsed.fork_hz)
    except PitchError as fault:
        _note(parsed.problems, cell, row, fault_words(fault, typed, parsed.fork_hz))
        return None
    except ValidationError as fault:
        _note(parsed.problems, cell, row, " ".join(fault.messages))
        return None
    _weigh(cell, typed, pitch.hz, row, parsed)
    if pitch.is_asked:
        _note(parsed.doubts, cell, row, asked_words(pitch, typed, parsed.fork_hz))
    return pitch.hz


def _read_number(cell: Cell, typed: str, row: int | None, parsed: Parsed) -> float | None:
    try:
        number = read_decimal(typed)
    except ValidationError as fault:
        _note(parsed.problems, cell, row, " ".join(fault.messages))
        return None
    if number is None:
        return None
    value = float(number)
    _weigh(cell, typed, value, row, parsed)
    return value


def _weigh(cell: Cell, typed: str, value: float, row: int | None, parsed: Parsed) -> None:
    """Note a number beyond what can be as a problem, beyond what is usual as a doubt."""
    # Impossible and unusual are two things: a comma in the wrong place is refused, an old wheel
    # that really runs out by half a millimetre must be possible to write down.
    if cell.least is not None and value < cell.least:
        _note(
            parsed.problems,
            cell,
            row,
            _("%(typed)s is less than %(limit)s: impossible. Check the sign and the unit.")
            % {"typed": typed, "limit": _with_unit(said(cell.least), cell)},
        )
    elif cell.most is not None and value > cell.most:
        _note(
            parsed.problems,
            cell,
            row,
            _("%(typed)s is more than %(limit)s: impossible. Check the unit.")
            % {"typed": typed, "limit": _with_unit(said(cell.most), cell)},
        )
    elif cell.likely is not None and not cell.likely[0] <= value <= cell.likely[1]:
        _note(
            parsed.doubts,
            cell,
            row,
            _("%(typed)s is unusual here. Look again, or tick that it is so.")
            % {"typed": _with_unit(typed, cell)},
        )


def _with_unit(words: str, cell: Cell) -> str:
    return f"{words}\u00a0{cell.unit}" if cell.unit else words


def _note(heap: list[Problem], cell: Cell, row: int | None, words: str) -> None:
    heap.append(Problem(cell.key, row, labelled(cell_name(cell, row), words)))


def cell_name(cell: Cell, row: int | None) -> str:
    """The cell as a sentence names it: “Reading, row 7”."""
    label = str(cell.label)
    label = label[:1].upper() + label[1:]
    return _("%(label)s, row %(row)s") % {"label": label, "row": row} if row else label
