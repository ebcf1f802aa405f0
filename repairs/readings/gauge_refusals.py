"""What a gauge refuses, in the reader's language: which cell, what stands there, what to do."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from repairs.gauges.base.errors import GaugeInputError
from repairs.language.text import uses_comma
from repairs.readings.field_words import RANGE, field_words
from repairs.readings.parse import cell_name
from repairs.readings.sheets.base import Cell, Sheet, Text
from repairs.readings.sheets.species import NAMES, wood_words
from repairs.readings.sheets.strings import MATERIAL_NAMES

REFUSALS: Mapping[str, Text] = {
    "missing": _("%(place)s is missing. Give it, or leave the whole row out."),
    "not_a_number": _("%(place)s is %(value)s, which is not a number."),
    "not_positive": _("%(place)s is %(value)s; it must be more than 0."),
    "negative": _("%(place)s is %(value)s; it must not be less than 0."),
    "too_small": _(
        "%(place)s is %(value)s; less than %(limit)s is not possible here. Check the unit."
    ),
    "too_big": _(
        "%(place)s is %(value)s; more than %(limit)s is not possible here. Check the unit."
    ),
    "too_few": _(
        "%(place)s has %(value)s values and needs at least %(limit)s. Read more, or leave all out."
    ),
    "too_many": _(
        "%(place)s has %(value)s values; more than %(limit)s cannot be used. Leave some out."
    ),
    "unequal": _("%(place)s has %(value)s values and %(other)s has %(limit)s; they must match."),
    "other_turn": _(
        "%(place)s is missing, and “%(other)s” has it. Read each turn at the same places, or "
        "leave the place out of all turns."
    ),
    "twice": _("%(place)s is %(value)s, which stands there twice. Keep one of the two."),
    "all_equal": _("All values of %(place)s are %(value)s: was the gauge touching?"),
    "unknown": _("%(place)s is %(value)s, which is not known. Known are: %(known)s."),
    "needs_one": _("Give exactly one of %(place)s; %(value)s were given."),
    "leave_one": _(
        "Leave out exactly one of %(place)s: it is the one that is computed. "
        "%(value)s were left out."
    ),
    "scl_count": _(
        "%(place)s is %(value)s. The second line of a scale says how many notes follow, such as 12."
    ),
    "scl_pitch": _(
        "%(place)s is %(value)s. Write cents with a point, such as 386.31, or a ratio, such as 5/4."
    ),
    "not_whole": _("%(place)s is %(value)s; it must be a whole number."),
    "not_rising": _(
        "%(place)s is %(value)s, which does not rise above %(limit)s. Put the notes in rising "
        "order."
    ),
    "swapped": _(
        "%(place)s is %(value)s, which would be right in row %(limit)s, and the one there would be "
        "right here. Swap the two."
    ),
    "contradicts": _(
        "“%(place)s: %(value)s” cannot go together with “%(other)s: %(limit)s”. Correct one of "
        "the two."
    ),
    "no_wanted": _(
        "%(place)s: no deviation from a wanted note, for none is wanted. Choose a temperament, or "
        "type the cents as the tuner shows them."
    ),
    "not_a_date": _(
        "%(place)s is %(value)s, which is not a date that can be read. Write it as "
        "2025-01-31 14:00."
    ),
    "two_ways": _(
        "%(place)s: %(value)s may be %(limit)s or %(known)s, and no other date tells. "
        "Say whether the day or the month stands first."
    ),
    "no_column": _(
        "No columns for %(place)s were found. The first line must name them; it has: %(known)s."
    ),
    "cells": _(
        "A line has %(value)s cells and %(limit)s are needed (%(place)s). Check what stands "
        "between the cells and in the decimals."
    ),
    "no_answer": _("No value of %(place)s answers this: %(why)s. Look at the other values."),
}

# Why a question has no answer, by the English of the gauge.
WHYS: Mapping[str, Text] = {
    "a minimum zone was not found": _("a minimum zone was not found"),
    "the minimum zone was not found": _("the minimum zone was not found"),
    "an inscribed circle was not found": _("an inscribed circle was not found"),
    "the inscribed circle was not found": _("the inscribed circle was not found"),
    "the best centre was not found": _("the best centre was not found"),
    "the centre kept moving": _("the centre kept moving"),
    "they stand in a line": _("they stand in a line"),
    "one lies on the centre": _("one lies on the centre"),
    "the record has no whole month and no part is given": _(
        "the record has no whole month and no part is given"
    ),
    "in saturated air at %(t_c)s °C wood settles at %(most)s %%": _(
        "in saturated air at %(t_c)s °C wood settles at %(most)s %%"
    ),
    "no shrinkage is known for %(wood)s": _("no shrinkage is known for %(wood)s"),
}
TRUTHS: Mapping[str, Text] = {"true": _("yes"), "false": _("no"), "empty": _("nothing noted")}
# Cells whose label begins a sentence that the choice ends: “its height is set by: shim”.
BEGINNINGS = frozenset(
    (
        "on_hook",
        "slot",
        "paper",
        "cotton_sense",
        "sound_open",
        "onset",
        "foot_full",
        "foot_print",
        "foot_paper",
        "sign",
        "reading",
        "rim",
        "turned",
    )
)
FIELD_CELLS = {
    "readings_mm": "reading",
    "angles_deg": "angle_deg",
    "axial_mm": "axial",
    "second_mm": "second",
    "third_mm": "third",
    "push_pull_mm": "push_pull",
    "keys": "key",
    "at_mm": "at_1",
    "gap_mm": "gap_1",
    "slides_deg": "slide_1_deg",
    "pulls_mn": "pull_mn",
    "time": "csv",
    "rh": "csv",
    "rim_height_mm": "rim_mm",
}
PLAIN_DECIMAL = re.compile(r"-?\d+\.\d+")


class Open(dict[str, Any]):
    """What an earlier version did not write down is left open."""

    def __missing__(self, key: str) -> str:
        return "—"


def refusal_words(sheet: Sheet, refusal: GaugeInputError) -> str:
    """Say what the gauge refused, naming the cell as the sheet does."""
    cell = cell_refused(sheet, refusal)
    choices = dict(cell.choices) if cell else {}
    said = {key: _localised(value) for key, value in refusal.details.items()}
    for key in ("value", "limit", "known"):
        if key in said:
            said[key] = _in_words(said[key], choices | _choices_of(sheet, refusal))
    if "other" in said:
        other = str(said["other"])
        said["other"] = capfirst(_place(cell_of(sheet, other), other, None))
    if "wood" in said:
        said["wood"] = wood_words(str(said["wood"]))
    if "why" in said:
        said["why"] = str(WHYS.get(str(said["why"]), said["why"])) % Open(said)
    said["place"] = _place(cell, refusal.field, refusal.row)
    return str(REFUSALS[refusal.code]) % Open(said)


def _place(cell: Cell | None, field: str, row: int | None) -> str:
    if cell is not None and cell.key not in BEGINNINGS and not _is_of_more(field):
        return cell_name(cell, row)
    words = field_words(field)
    row_words = cell_name(Cell("", words), row)
    return row_words if row is not None or field != words else words


def _choices_of(sheet: Sheet, refusal: GaugeInputError) -> dict[str, Text]:
    """The choices of the cell that a refused one contradicts."""
    other = cell_of(sheet, str(refusal.details.get("other", "")))
    return dict(other.choices) if other else {}


def _in_words(value: object, choices: Mapping[str, Text]) -> str:
    """A value, or a list of them with commas, as the sheet's choices say it."""
    known: dict[str, Text] = {**TRUTHS, **NAMES, **MATERIAL_NAMES, **choices}
    return ", ".join(str(known.get(one, one)) for one in str(value).split(", "))


def _is_of_more(field: str) -> bool:
    """Whether a refusal is about several inputs, or about the range of one: its own words tell."""
    return ", " in field or field.startswith(RANGE)


def cell_refused(sheet: Sheet, refusal: GaugeInputError) -> Cell | None:
    """The cell in which that was typed what a gauge refuses: of which string, it says beside."""
    cell = cell_of(sheet, refusal.field)
    if cell is None or refusal.details.get("string", 1) == 1 or not cell.key.endswith("_1"):
        return cell
    return cell_of(sheet, f"{cell.key[:-1]}{refusal.details['string']}") or cell


def cell_of(sheet: Sheet, field: str) -> Cell | None:
    """The cell of the sheet in which that input of the gauge is typed, if there is one.

    A gauge says what an input belongs to in brackets: “measured_cents (first)”. Of several inputs
    it is the cell of the first.
    """
    cells = {cell.key: cell for cell in (*sheet.cells, *sheet.columns)}
    if _is_of_more(field):
        parts = field.removeprefix(RANGE).split(", ")
        return next((cell for part in parts if (cell := cell_of(sheet, part))), None)
    name, _bracket, owner = field.partition(" (")
    keys = (FIELD_CELLS.get(name, ""), name, owner.removesuffix(")"))
    return next((cells[key] for key in keys if key in cells), None)


def _localised(value: object) -> object:
    words = str(value)
    if uses_comma() and PLAIN_DECIMAL.fullmatch(words):
        return words.replace(".", ",")
    return value
