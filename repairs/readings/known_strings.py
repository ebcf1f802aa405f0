"""What the last set of strings tells other sheets: a diameter, and tensions string by string."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from repairs.instruments.pattern import Kind
from repairs.language.text import folded, rounded
from repairs.readings.cards.notes import melody_rows
from repairs.readings.models import Reading

DIAMETER, TENSION = "diameter_mm", "tension_n"


def melody_diameter(strings: Reading) -> str:
    """The diameter of the melody strings as typed; empty where they have more than one."""
    found = {row.get(DIAMETER, "") for row in melody_rows(strings)} - {""}
    return found.pop() if len(found) == 1 else ""


def offer_tensions(strings: Reading, raw: dict[str, Any]) -> list[str]:
    """Fill in the reckoned tension of each row that bears a name of the set; return their cells.

    Rows of a string that the set does not name, or names twice, stay as they are.
    """
    out = strings.latest.output if strings.latest is not None else {}
    plain = _plain_names(strings.case.instrument.pattern)
    named: dict[str, list[float]] = {}
    for one in out.get("strings", []):
        named.setdefault(plain(one["name"]), []).append(one[TENSION])
    cells = []
    for number, row in enumerate(raw["rows"], 1):
        found = named.get(plain(row.get("name", "")), [])
        if len(found) == 1 and TENSION in row:
            row[TENSION] = rounded(found[0], 1)
            cells.append(f"{TENSION}-{number}")
    return cells


def _plain_names(kind: Kind) -> Callable[[str], str]:
    """One name for a string of the kind, whichever language its sheet was filled in."""
    known = {
        folded(f"{label} {one.note}".strip()): one.key
        for one in kind.strings
        for label in one.label.values()
    }
    return lambda name: known.get(folded(name), folded(name))
