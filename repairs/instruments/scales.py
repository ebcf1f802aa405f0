"""Scales of words with a definition: severity, stability, urgency, originality, grades, hazards."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture


@cache
def scales() -> Mapping[str, list[Mapping[str, Any]]]:
    """All scales by name, as ``vocabulary/scales.json`` has them."""
    rows: Mapping[str, list[Mapping[str, Any]]] = read_fixture("vocabulary/scales.json")
    return rows


def scale_entry(scale: str, key: object) -> Mapping[str, Any]:
    """The step of a scale with its label, definition and source; empty when there is none."""
    rows = _scale_rows(scale)
    return next((row for row in rows if str(row["key"]) == str(key)), {})


def scale_label(scale: str, key: object, code: str | None = None) -> str:
    """The word for a step, in the language of ``code`` or the one in force; else the bare key."""
    entry = scale_entry(scale, key)
    return in_language(entry["label"], code) if entry else str(key)


def scale_choices(scale: str) -> list[tuple[str, str]]:
    """Keys and words of a scale, in its order, for a select."""
    return [(str(row["key"]), in_language(row["label"])) for row in _scale_rows(scale)]


def _scale_rows(scale: str) -> list[Mapping[str, Any]]:
    found: Any = scales()[scale]
    rows: list[Mapping[str, Any]] = found["entries"] if isinstance(found, dict) else found
    return rows
