"""instruments.scales: moved here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture


@cache
def scales() -> Mapping[str, list[Mapping[str, Any]]]:
    rows: Mapping[str, list[Mapping[str, Any]]] = read_fixture("vocabulary/scales.json")
    return rows


def scale_entry(scale: str, key: object) -> Mapping[str, Any]:
    rows = _scale_rows(scale)
    return next((row for row in rows if str(row["key"]) == str(key)), {})


def scale_label(scale: str, key: object, code: str | None = None) -> str:
    entry = scale_entry(scale, key)
    return in_language(entry["label"], code) if entry else str(key)


def scale_choices(scale: str) -> list[tuple[str, str]]:
    return [(str(row["key"]), in_language(row["label"])) for row in _scale_rows(scale)]


def _scale_rows(scale: str) -> list[Mapping[str, Any]]:
    found: Any = scales()[scale]
    rows: list[Mapping[str, Any]] = found["entries"] if isinstance(found, dict) else found
    return rows
