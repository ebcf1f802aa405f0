"""What wears out on an instrument and is replaced: strings, cotton, rosin, the hair of a bow.

Which of them a kind has follows from its parts (``vocabulary/consumables.json``): nobody who
brings a guitar is asked about cotton.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from repairs.instruments.pattern import Kind
from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture

COTTON = "cotton"


@cache
def consumables() -> Mapping[str, Mapping[str, Any]]:
    """Each sort of thing that wears out, by key: its name, and the keys of its parts."""
    return {row["key"]: row for row in read_fixture("vocabulary/consumables.json")["sorts"]}


@cache
def consumable_parts() -> frozenset[str]:
    """The keys of all parts that wear out, of whatever kind."""
    return frozenset(part for row in consumables().values() for part in row["parts"])


def consumables_of(kind: Kind) -> tuple[str, ...]:
    """The sorts that a kind has, as its parts tell."""
    here = {part.key for part in kind.parts}
    return tuple(key for key, row in consumables().items() if here & set(row["parts"]))


def consumables_words(kind: Kind) -> str:
    """They in words, such as “strings, cotton, rosin”."""
    rows = consumables()
    return ", ".join(in_language(rows[key]["label"]) for key in consumables_of(kind))


def is_cottoned(kind: Kind) -> bool:
    """Whether its strings are wound with cotton."""
    return COTTON in consumables_of(kind)
