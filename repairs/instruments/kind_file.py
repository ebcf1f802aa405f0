"""Reads one file of ``fixtures/kinds``, and says of a wrong one which field to mend, and how.

What other rooms own (entry sheets, sections of the care sheet) cannot be known down here: those
names are held against their rooms by ``tests/instruments/test_kind_files.py`` and
``readings.sheets.catalogue``.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from repairs.instruments.checked import (
    Place,
    among,
    fields,
    items,
    key_in,
    unique,
    words,
    yes_no,
)
from repairs.instruments.pattern import (
    PERMISSIONS,
    CareText,
    Kind,
    KindSheet,
    PartMap,
    PartPattern,
    SizePattern,
    StringPattern,
    View,
)

HS_NUMBER = re.compile(r"(\d{3}(\.\d+)*(-\d+)*(\+\d+)?)?")
ROLES = ("melody", "trompette", "drone", "sympathetic", "string")
UNITS = ("mm", "g")
NEEDED = (
    *("slug", "label", "hs_number", "hs_text", "families", "permissions", "key_count"),
    *("sheets", "strings", "dimensions", "views", "parts"),
)
OPTIONAL = ("fallback", "care", "maps")


@dataclass(frozen=True)
class Known:
    """What a kind may name: families, and materials with whether they are protected."""

    families: Sequence[str]
    materials: Mapping[str, bool]


def read_kind(path: Path, known: Known) -> Kind:
    """Return the kind that a file describes.

    Raises KindFileError with the name of the file, the field and what to write there.
    """
    here = Place(f"fixtures/kinds/{path.name}")
    try:
        row = json.loads(path.read_text(encoding="utf-8"))
    except ValueError as problem:
        raise here.wrong(f"this is not JSON ({problem}).") from problem
    row = fields(row, here, NEEDED, OPTIONAL)
    if row["slug"] != path.stem:
        raise here.at("slug").wrong(f"write “{path.stem}”, the name of the file.")
    return Kind(
        slug=row["slug"],
        label=words(row["label"], here.at("label")),
        hs_number=_class_number(row["hs_number"], here.at("hs_number")),
        hs_text=words(row["hs_text"], here.at("hs_text")),
        families=_families(row["families"], here.at("families"), known),
        permissions=among(row["permissions"], here.at("permissions"), PERMISSIONS),
        key_count=_count(row["key_count"], here.at("key_count")),
        is_fallback=yes_no(row.get("fallback", False), here.at("fallback")),
        sheets=unique(_sheets(row["sheets"], here.at("sheets")), here.at("sheets"), "gauge"),
        strings=unique(_strings(row["strings"], here.at("strings")), here.at("strings")),
        dimensions=unique(_sizes(row["dimensions"], here.at("dimensions")), here.at("dimensions")),
        views=unique(_views(row["views"], here.at("views")), here.at("views"), "slug"),
        maps=unique(_maps(row, here.at("maps"), path.with_suffix("")), here.at("maps"), "name"),
        parts=unique(_parts(row["parts"], here.at("parts"), known), here.at("parts")),
        care=tuple(_care(row.get("care", []), here.at("care"))),
    )


def _class_number(value: object, here: Place) -> str:
    if not isinstance(value, str) or not HS_NUMBER.fullmatch(value):
        raise here.wrong("write a Hornbostel–Sachs number such as “321.322-71”, or “”.")
    return value


def _families(value: object, here: Place, known: Known) -> tuple[str, ...]:
    found = among(value, here, known.families)
    if not found:
        raise here.wrong(f"name at least one of: {', '.join(known.families)}.")
    return found


def _count(value: object, here: Place) -> int | None:
    if value is None or (isinstance(value, int) and value is not True and value > 0):
        return value
    raise here.wrong("write how many keys it usually has, or null where it has none.")


def _sheets(value: object, here: Place) -> Iterator[KindSheet]:
    for at, one in items(value, here):
        row = {"sheet": one} if isinstance(one, str) else one
        row = fields(row, at, ("sheet",), ("defaults", "without"))
        defaults: object = row.get("defaults", {})
        if not isinstance(defaults, dict) or not all(isinstance(v, str) for v in defaults.values()):
            raise at.at("defaults").wrong('write what to offer, by cell: {"length_mm": "345"}.')
        without = [key_in(name, place) for place, name in items(row.get("without", []), at)]
        yield KindSheet(key_in(row["sheet"], at.at("sheet")), defaults, frozenset(without))


def _strings(value: object, here: Place) -> Iterator[StringPattern]:
    for at, one in items(value, here):
        row = fields(one, at, ("key", "label", "note", "role"))
        if row["role"] not in ROLES:
            raise at.at("role").wrong(f"write one of: {', '.join(ROLES)}.")
        if not isinstance(row["note"], str):
            raise at.at("note").wrong("write the pitch in Helmholtz notation, such as “g'”, or “”.")
        key, label = key_in(row["key"], at.at("key")), words(row["label"], at.at("label"))
        yield StringPattern(key, label, row["note"], row["role"])


def _sizes(value: object, here: Place) -> Iterator[SizePattern]:
    for at, one in items(value, here):
        row = fields(one, at, ("key", "label", "unit", "typical_mm"))
        if row["unit"] not in UNITS:
            raise at.at("unit").wrong(f"write one of: {', '.join(UNITS)}.")
        key, label = key_in(row["key"], at.at("key")), words(row["label"], at.at("label"))
        yield SizePattern(key, label, row["unit"], _range(row["typical_mm"], at.at("typical_mm")))


def _range(value: object, here: Place) -> tuple[float, float] | None:
    if value is None:
        return None
    ends = value if isinstance(value, list) else []
    if len(ends) != 2 or not all(isinstance(end, int | float) for end in ends):
        raise here.wrong("write [least, most] in millimetres, or null.")
    if not 0 < ends[0] < ends[1]:
        raise here.wrong("the first end must be above 0 and below the second.")
    return ends[0], ends[1]


def _views(value: object, here: Place) -> Iterator[View]:
    for at, one in items(value, here):
        row = fields(one, at, ("slug", "label", "required", "hint"))
        yield View(
            key_in(row["slug"], at.at("slug")),
            words(row["label"], at.at("label")),
            words(row["hint"], at.at("hint")),
            yes_no(row["required"], at.at("required")),
        )


def _maps(kind: Mapping[str, Any], here: Place, folder: Path) -> Iterator[PartMap]:
    """Its maps of parts; each is a drawing in the folder that bears the name of the kind."""
    seen = [one["slug"] for one in kind["views"]]
    for at, one in items(kind.get("maps", []), here):
        row = fields(one, at, ("name", "label", "views"))
        name = key_in(row["name"], at.at("name"))
        if not (folder / f"{name}.svg").is_file():
            raise at.at("name").wrong(f"there is no drawing {folder.name}/{name}.svg; add it.")
        views = among(row["views"], at.at("views"), seen)
        yield PartMap(name, words(row["label"], at.at("label")), views)


def _parts(
    value: object, here: Place, known: Known, depth: int = 0, parent: str = ""
) -> Iterator[PartPattern]:
    for at, one in items(value, here):
        row = fields(one, at, ("key", "label", "material", "children"))
        key, label = key_in(row["key"], at.at("key")), words(row["label"], at.at("label"))
        yield PartPattern(key, label, _material(row["material"], at, known), depth, parent)
        yield from _parts(row["children"], at.at("children"), known, depth + 1, key)


def _material(value: object, at: Place, known: Known) -> str:
    if value is None:
        return ""
    if not isinstance(value, str) or value not in known.materials:
        raise at.at("material").wrong("write a key of vocabulary/materials.json, or null.")
    if known.materials[value]:  # a presumed ivory would put a false claim into an official paper
        raise at.at("material").wrong("a protected material is never presumed: write null.")
    return value


def _care(value: object, here: Place) -> Iterator[CareText]:
    for at, one in items(value, here):
        row = fields(one, at, ("section", "when", "words", "source"))
        when = tuple(str(name) for _at, name in items(row["when"], at.at("when")))
        if not isinstance(row["source"], str) or not row["source"].strip():
            raise at.at("source").wrong("say where the advice is from, such as “common practice”.")
        section = key_in(row["section"], at.at("section"))
        yield CareText(section, when, words(row["words"], at.at("words")), row["source"])
