"""What selling a protected material, or taking it across a border, asks for.

The rules are data with a date and a source (`fixtures/vocabulary/protection_needs.json`), grouped
by listing. No entry replaces the authority: each ends by naming it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture


@dataclass(frozen=True)
class Needs:
    """What one material asks for, in the language in force.

    ``must_have`` names what is to be recorded of each part; ``supplied`` is false for what the
    house never puts into an instrument.
    """

    sell: str
    border: str
    must_have: tuple[str, ...]
    as_of: dt.date
    source: str
    from_memory: bool
    supplied: bool


@cache
def _groups() -> Mapping[str, Mapping[str, Any]]:
    """The rules by material; each material stands in one group."""
    groups = read_fixture("vocabulary/protection_needs.json")["groups"]
    return {material: group for group in groups for material in group["materials"]}


@cache
def _shared() -> Mapping[str, Any]:
    known: Mapping[str, Any] = read_fixture("vocabulary/protection_needs.json")
    return known


def needs_of(material: str) -> Needs | None:
    """Return what the material needs, or None when no listing of it is known."""
    group = _groups().get(material)
    if group is None:
        return None
    known = _shared()
    defer = in_language(known["deferral"]["label"])
    travel = in_language(known["certificate"]["label"]) if group["certificate"] else ""
    border = " ".join(filter(None, (in_language(group["border"]), travel, defer)))
    records = {row["key"]: in_language(row["label"]) for row in known["records"]}
    return Needs(
        sell=f"{in_language(group['sell'])} {defer}",
        border=border,
        must_have=tuple(records[key] for key in group["must_have"]),
        as_of=dt.date.fromisoformat(group["as_of"]),
        source=in_language(group["source"]),
        from_memory=group["from_memory"],
        supplied=group["supplied"],
    )


def is_supplied(material: str) -> bool:
    """Whether the house puts this material into an instrument at all."""
    group = _groups().get(material)
    # In France raw ivory may not even be bought for a repair (arrêté of 16 Aug 2016, mod. 4 May
    # 2017, art. 1): the house never supplies it.
    return group is None or bool(group["supplied"])
