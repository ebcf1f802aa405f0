"""What tests of the fixtures share: the files, and walks through them."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
KIND_FILES = sorted((FIXTURES / "kinds").glob("*.json"))
VOCABULARY_FILES = sorted((FIXTURES / "vocabulary").glob("*.json"))
OUR_FILES = [*KIND_FILES, *VOCABULARY_FILES, FIXTURES / "procedures.json", FIXTURES / "setups.json"]


def words(text: str) -> list[str]:
    """Split a list of keys, which reads better as one line of words than one key a line."""
    return text.split()


TEXT_FIELDS = set(
    words("label hint definition caution act short note hs_text purpose words sell border")
)


def load(name: str) -> Any:
    return json.loads((FIXTURES / name).read_text(encoding="utf-8"))


def walk(value: Any) -> Iterator[dict[str, Any]]:
    """Yield every object in the tree, however deep: a label may hide anywhere."""
    if isinstance(value, dict):
        yield value
        for child in value.values():
            yield from walk(child)
    elif isinstance(value, list):
        for child in value:
            yield from walk(child)


def texts(value: Any) -> list[dict[str, str]]:
    """Return every text for people; the `note` of a string is a pitch, not a text."""
    return [
        node[field]
        for node in walk(value)
        for field in TEXT_FIELDS & node.keys()
        if not (field == "note" and "role" in node)
    ]


def parts(nodes: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for node in nodes:
        yield node
        yield from parts(node["children"])


def repeated(keys: list[str]) -> list[str]:
    return [key for key, times in Counter(keys).items() if times > 1]
