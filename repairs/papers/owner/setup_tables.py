"""The tables of a set-up sheet: strings, cents of the keys, voicing cards side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from repairs.language.text import rounded
from repairs.readings.models import Reading
from repairs.readings.parse import parse
from repairs.readings.sheets.base import Cell
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.sheets.common import SIGNS
from repairs.readings.sheets.keyboard_cells import named
from repairs.readings.sheets.strings import MATERIAL_NAMES
from repairs.readings.slips import said

KEYS_A_ROW = 12
CARDS_A_TABLE = 6
WHOLE_LABELS = {
    "on_hook": _("On its hook"),
    "slot": _("Height set by"),
    "paper": _("Strip of paper, no cotton"),
    "cotton_sense": _("Cotton wound"),
    "onset": _("Onset of the buzz"),
    "sound_open": _("Open string"),
}


@dataclass(frozen=True, kw_only=True)
class StringLine:
    """One string as it was left."""

    name: str
    pitch: str
    diameter: str
    material: str
    length: str
    tension: str
    to_breaking: str
    sign: str


@dataclass(frozen=True, kw_only=True)
class KeyCell:
    """One key and by how much it is off."""

    key: str
    cents: str
    sign: str


@dataclass(frozen=True, kw_only=True)
class KeyLine:
    """Up to twelve keys of one string, with the cents by which each is off."""

    string: str
    cells: tuple[KeyCell, ...]


@dataclass(frozen=True, kw_only=True)
class Voicing:
    """Some cards side by side: the strings, then a row for each thing that was noted."""

    strings: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def string_lines(row: Reading | None) -> tuple[StringLine, ...]:
    """Each string with what was typed and what follows from it."""
    result = row.latest if row is not None else None
    if row is None or result is None:
        return ()
    typed = parse(sheet_of("string_set"), row.raw).rows
    lines = zip(result.output["strings"], typed, strict=True)
    return tuple(_string(line, given["material"]) for line, given in lines)


def _string(line: dict[str, Any], material: str) -> StringLine:
    safety = line.get("safety")
    steps = line.get("semitones_to_breaking")
    return StringLine(
        name=line["name"],
        pitch=_number(line.get("pitch_hz"), 1, "Hz"),
        diameter=_number(line.get("diameter_mm"), 2, "mm"),
        material=str(MATERIAL_NAMES.get(material, material)),
        length=_number(line.get("length_mm"), 0, "mm"),
        tension=_number(line.get("tension_n"), 1, "N"),
        to_breaking=rounded(steps, 1) if steps is not None else "",
        sign=SIGNS[safety["word"]] if safety else "",
    )


def _number(value: float | None, places: int, unit: str) -> str:
    return f"{rounded(value, places)}\u00a0{unit}" if value is not None else ""


def key_lines(row: Reading | None) -> tuple[KeyLine, ...]:
    """Each key of each string with what its tangent should be turned, and by how much."""
    result = row.latest if row is not None else None
    if result is None:
        return ()
    lines = []
    for string in result.output["strings"]:
        cells = [
            KeyCell(
                key=str(one["key"]),
                cents=_signed(one["off_cents"]),
                sign=SIGNS[one["verdict"]["word"]],
            )
            for one in string["keys"]
        ]
        lines += [
            KeyLine(string=named(string["name"]), cells=tuple(cells[i : i + KEYS_A_ROW]))
            for i in range(0, len(cells), KEYS_A_ROW)
        ]
    return tuple(lines)


def _signed(cents: float) -> str:
    sign = "+" if round(cents, 1) > 0 else ""
    return sign + rounded(cents, 1)


def thing_of(row: Reading) -> str:
    """The string that a card is of."""
    return row.subject or str(row.raw["fields"].get("string", ""))


def card_rows(row: Reading) -> list[tuple[str, str]]:
    """What was noted on a card, in words; the string's own name is its title."""
    sheet = sheet_of(row.gauge)
    values = parse(sheet, row.raw).values
    cells = [cell for cell in sheet.cells if cell.key != "string"]
    noted = [(cell, values[cell.key]) for cell in cells if values[cell.key] not in (None, "")]
    return [(_label(cell), _words(cell, value)) for cell, value in noted]


def _label(cell: Cell) -> str:
    """On the entry sheet some labels begin a sentence that the choice ends; here each is whole."""
    return str(WHOLE_LABELS.get(cell.key) or capfirst(str(cell.label)))


def _words(cell: Cell, value: Any) -> str:
    if cell.kind == "choice":
        return str(dict(cell.choices).get(value, value))
    if cell.kind == "number":
        return f"{said(value)}\u00a0{cell.unit}" if cell.unit else said(value)
    return str(value)


def voicing_tables(rows: Sequence[Reading]) -> tuple[Voicing, ...]:
    """The voicing cards, a few side by side so that each table fits on the page."""
    return tuple(_table(rows[i : i + CARDS_A_TABLE]) for i in range(0, len(rows), CARDS_A_TABLE))


def _table(rows: Sequence[Reading]) -> Voicing:
    cards = [dict(card_rows(row)) for row in rows]
    order = [_label(cell) for cell in sheet_of("voicing_card").cells]
    noted = [label for label in order if any(label in card for card in cards)]
    return Voicing(
        strings=tuple(thing_of(row) for row in rows),
        rows=tuple((label, tuple(card.get(label, "") for card in cards)) for label in noted),
    )
