"""Kinds of instrument, materials and scales, read from the fixtures: data, not code."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.conf import settings

from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture

Words = Mapping[str, str]


@dataclass(frozen=True)
class PartPattern:
    """A node of a kind's parts tree."""

    key: str
    label: Words
    material: str
    depth: int
    parent: str


@dataclass(frozen=True)
class View:
    """A standard view to be photographed."""

    slug: str
    label: Words
    hint: Words
    required: bool

    def __str__(self) -> str:
        return in_language(self.label)


@dataclass(frozen=True)
class Kind:
    slug: str
    label: Words
    hs_number: str
    hs_text: Words
    key_count: int | None
    has_wheel: bool
    strings: tuple[Mapping[str, Any], ...]
    dimensions: tuple[Mapping[str, Any], ...]
    views: tuple[View, ...]
    parts: tuple[PartPattern, ...]

    def __str__(self) -> str:
        return in_language(self.label)


@cache
def kinds() -> Mapping[str, Kind]:
    files = sorted((settings.FIXTURES / "kinds").glob("*.json"))
    rows = [json.loads(file.read_text(encoding="utf-8")) for file in files]
    rows.sort(key=lambda row: (row["slug"] == "other", not row.get("wheel"), row["slug"]))
    return {row["slug"]: _kind(row) for row in rows}


def kind_of(slug: str) -> Kind:
    return kinds().get(slug) or kinds()["other"]


def _kind(row: Mapping[str, Any]) -> Kind:
    views = tuple(
        View(v["slug"], v["label"], v.get("hint") or {}, bool(v.get("required")))
        for v in row["views"]
    )
    return Kind(
        slug=row["slug"],
        label=row["label"],
        hs_number=row["hs_number"],
        hs_text=row["hs_text"],
        key_count=row.get("key_count"),
        has_wheel=bool(row.get("wheel")),
        strings=tuple(row["strings"]),
        dimensions=tuple(row["dimensions"]),
        views=views,
        parts=tuple(_walk(row["parts"])),
    )


def _walk(
    nodes: list[Mapping[str, Any]], depth: int = 0, parent: str = ""
) -> Iterator[PartPattern]:
    for node in nodes:
        yield PartPattern(node["key"], node["label"], node.get("material") or "", depth, parent)
        yield from _walk(node.get("children") or [], depth + 1, node["key"])


@cache
def materials() -> Mapping[str, Mapping[str, Any]]:
    return {row["key"]: row for row in read_fixture("vocabulary/materials.json")}


def material_label(key: str, code: str | None = None) -> str:
    return in_language(materials()[key]["label"], code) if key in materials() else key


def protection_of(key: str) -> Mapping[str, Any] | None:
    """Return the protected-species entry of a material, or None."""
    found: Mapping[str, Any] | None = materials().get(key, {}).get("protected")
    return found
