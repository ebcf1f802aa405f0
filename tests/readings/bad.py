"""What a tired hand types into an entry sheet, made from the sheet itself: one set a kind of slip.

All cells that a kind of slip can befall are typed badly at once, the single ones and those of one
row, so that a sheet costs a handful of posts and a new sheet is tried by being in the catalogue.
What only one sheet can be told wrongly (a key twice, turns of unequal length) stands in ``OWN``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from repairs.readings.sheets.base import Cell, Sheet
from tests.readings import samples

Words = dict[str, str]
Place = tuple[str, int | None]  # without a name: a sentence about several cells
ROW = 2
# Where a dial stands on nought is anyone’s, and a place may lie anywhere on a plate; the play of a
# key in its slot is told from nothing; a wheel may have next to nothing of a lobe.
ANY_SIZE = {"slack_mm", "pitch_mm", "later_mm", "x_mm", "y_mm", "side_play_mm"}
ANY_SIZE |= {"ecc_mm", "oval_mm", "three_mm"}


@dataclass(frozen=True)
class Slip:
    """What is typed, and the cells that must be named: each with its row, or None."""

    kind: str
    words: Words
    named: tuple[Place, ...]


@dataclass(frozen=True)
class Own:
    """A slip of one sheet: what is typed otherwise, the cell that is named, and what it says."""

    kind: str
    cells: Words
    named: Place


OWN: Mapping[str, tuple[Own, ...]] = {
    "wheel": (
        Own("twice", {"angle_deg-4": "30"}, ("angle_deg", 4)),
        Own("twice", {"angle_deg-24": "390"}, ("angle_deg", 24)),
        Own("unequal turns", {"second-3": "8", "second-4": "7"}, ("second", 1)),
        Own(
            "unequal turns",
            {f"{turn}-{row}": "4,5" for row in range(1, 24) for turn in ("second", "third")}
            | {"second-24": "4"},
            ("third", 24),
        ),
        Own("wrong unit", {"scale": "mm"}, ("reading", None)),
        Own("too few", {f"axial-{row}": "1" for row in (1, 2)}, ("axial", None)),
    ),
    "correction": (
        Own("twice", {"key-3": "2"}, ("key", 3)),
        Own("swapped", {"key-2": "4", "key-4": "2"}, ("key", 3)),
        Own(
            "swapped",
            {"reading": "above_open", "key-6": "6"}
            | {f"first-{key}": str(100 * key) for key in (1, 2, 5, 6)}
            | {"first-3": "400", "first-4": "300"},
            ("first", 4),
        ),
        Own("no scale", {"scl": "no\nscale"}, ("scl", None)),
    ),
    "tangents": (Own("no scale", {"scl": "no\nscale"}, ("scl", None)),),
    "sharpening": (Own("beyond the string", {"from_nut_mm": "400"}, ("from_nut_mm", None)),),
    "key_return": (
        Own("two ways", {"pull_mn": "40"}, ("", None)),
        Own("no way", {"slide_1_deg": "", "slide_2_deg": ""}, ("", None)),
    ),
    "string_set": (
        Own("of nothing", {"material-1": ""}, ("material", 1)),
        Own("far too thick", {"length_mm-1": "2000"}, ("tension_n", 1)),
        Own("wanted far too thick", {"length_mm-1": "20"}, ("diameter_mm", 1)),
    ),
    "action": (
        Own("twice", {"key-3": "2"}, ("key", 3)),
        Own("swapped", {"key-2": "3", "key-3": "2"}, ("key", 3)),
        Own("swapped", {"at_1-2": "54.9", "at_1-3": "37.6"}, ("at_1", 3)),
        Own(
            "swapped",
            {"nut_2": "30", "bridge_2": "32", "at_2-2": "54.9", "at_2-3": "37.6"},
            ("at_2", 3),
        ),
        Own("beyond the string", {"at_1-7": "361"}, ("at_1", 7)),
        Own("beyond the string", {"wall_at_mm": "361"}, ("wall_at_mm", None)),
    ),
    "voicing_card": (),
    "bowing_window": (
        Own("twice", {"key-3": "10"}, ("key", 3)),
        Own("swapped", {"key-2": "15", "key-3": "10"}, ("key", 3)),
        Own("swapped", {"at_mm-2": "150", "at_mm-3": "140"}, ("at_mm", 3)),
    ),
    "force_turn": (
        Own("beyond the string", {"from_bridge_mm-1": "345"}, ("from_bridge_mm", 1)),
        Own(
            "beyond the string",
            {"from_bridge_mm-1": "400", "length_mm-1": "300"},
            ("from_bridge_mm", 1),
        ),
    ),
    "dog_card": (
        Own("contradicts", {"onset": "always", "tirant_turns": "0,5"}, ("tirant_turns", None)),
    ),
    "plate": (
        Own("twice", {"place-3": "2"}, ("place", 3)),
        Own("twice", {"kind-6": "bridge"}, ("kind", 6)),
        Own("half a place", {"y_mm-6": ""}, ("y_mm", 6)),
    ),
    "crack_joint": (Own("of no figures", {"species": "boxwood"}, ("species", None)),),
    "cleats": (Own("too thick", {"size_mm": "2", "thickness_mm": "8"}, ("thickness_mm", None)),),
    "clamp": (),
    "tap_tone": (Own("no such wood", {"mass_g": "1"}, ("density_kg_m3", None)),),
    "movement": (
        Own("two ways", {"from_mc_pct": "9"}, ("", None)),
        Own("no way", {"to_rh_pct": ""}, ("", None)),
    ),
    "emc": (Own("no such air", {"wanted_emc_pct": "28", "t_c": "50"}, ("rh_pct", None)),),
    "climate_log": (
        Own("no columns", {"csv": "a;b\n1;2"}, ("", None)),
        Own("no date", {"csv": "Date;RH\nyesterday;50\ntoday;51"}, ("Date", 2)),
    ),
}


def slips(sheet: Sheet) -> Iterator[Slip]:
    """Every slip of a sheet, those of all sheets first."""
    yield _missing(sheet)
    yield _all(sheet, "letters", "abc", lambda _cell: True)
    yield _all(sheet, "ten metres", "10 m", lambda cell: cell.unit == "mm" or bool(cell.unit_of))
    yield _all(sheet, "far too large", "1000000", lambda cell: cell.most is not None)
    yield _all(sheet, "wrong sign", "-5", lambda cell: (cell.least or 0) >= 0)
    yield _all(sheet, "beyond a turn", "400", lambda cell: cell.unit == "°")
    yield _all(sheet, "not a choice", "zzz", lambda _cell: True, "choice")
    yield _in_metres(sheet)
    for own in OWN[sheet.gauge]:
        yield Slip(own.kind, _sample(sheet) | own.cells, (own.named,))


def _sample(sheet: Sheet) -> Words:
    return samples.SAMPLES[sheet.gauge]()


def _missing(sheet: Sheet) -> Slip:
    """Every wanted cell left empty; of the table one name, and all else that a row must have."""
    named: list[Place] = [(c.key, None) for c in sheet.cells if c.required and c.kind != "tick"]
    for column in sheet.columns:
        if column.required and (column.index or not sheet.keeps_gaps):
            named.append((column.key, ROW))
    words = _sample(sheet) | {name_of(place): "" for place in named}
    # A row with nothing in it but its name was not read: another value keeps it one that was.
    spare = [c for c in sheet.columns if c.kind == "number" and not (c.required or c.index)]
    if spare and sheet.columns:
        words[f"{spare[0].key}-{ROW}"] = words.get(f"{spare[0].key}-{ROW}") or "1"
    elif sheet.columns:
        raise AssertionError(f"{sheet.gauge}: no column keeps a row that lacks another")
    return Slip("missing", words, tuple(named))


def _all(sheet: Sheet, kind: str, typed: str, befalls: Any, of: str = "number") -> Slip:
    """That typed into every cell of a sort that it can befall, of the table in one row."""
    named: list[Place] = [(c.key, None) for c in sheet.cells if c.kind == of and befalls(c)]
    named += [(c.key, ROW) for c in sheet.columns if c.kind == of and befalls(c)]
    return Slip(kind, _sample(sheet) | {name_of(place): typed for place in named}, tuple(named))


def _in_metres(sheet: Sheet) -> Slip:
    """Every length of the sample in metres: refused, or asked about before it is kept."""
    words, named = _sample(sheet), []
    for place in [*((c, None) for c in sheet.cells), *((c, ROW) for c in sheet.columns)]:
        cell, name = place[0], name_of((place[0].key, place[1]))
        if _is_length(cell) and number_of(words.get(name, "")):
            words[name] = f"{number_of(words[name]) / 1000:.9g}"
            named.append((cell.key, place[1]))
    return Slip("in metres", words, tuple(named))


def _is_length(cell: Cell) -> bool:
    return cell.kind == "number" and cell.unit == "mm" and cell.key not in ANY_SIZE


def number_of(typed: str) -> float:
    return float(typed.replace(",", ".") or 0)


def name_of(place: Place) -> str:
    """The name under which a browser sends the cell."""
    return f"{place[0]}-{place[1]}" if place[1] else place[0]
