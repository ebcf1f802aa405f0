"""Kinds of instrument, materials and families, read once from the fixtures: data, not code."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings

from repairs.instruments.kind_file import Known, read_kind
from repairs.instruments.pattern import Kind
from repairs.instruments.refusals import KindFileError
from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind by its slug, in the order of their families, the one for all the rest last.

    Raises KindFileError when a file is wrong, or when not exactly one is the fallback.
    """
    return read_kinds(Path(settings.FIXTURES) / "kinds")


def read_kinds(folder: Path) -> Mapping[str, Kind]:
    """The kinds of a folder of fixtures, checked."""
    known = Known(families=tuple(families()), materials=_protection())
    found = [read_kind(file, known) for file in sorted(folder.glob("*.json"))]
    rest = [kind.slug for kind in found if kind.is_fallback]
    if len(rest) != 1:
        raise KindFileError(
            file="fixtures/kinds",
            field="fallback",
            mend=f"one kind takes what no other fits; now it is {', '.join(rest) or 'none'}.",
        )
    rank = {family: place for place, family in enumerate(families())}
    found.sort(key=lambda kind: (kind.is_fallback, rank[kind.families[0]], kind.slug))
    return {kind.slug: kind for kind in found}


def kind_of(slug: str) -> Kind:
    """The kind of that slug; the one for all the rest when its file is gone."""
    return kinds().get(slug) or next(kind for kind in kinds().values() if kind.is_fallback)


@cache
def families() -> Mapping[str, Mapping[str, str]]:
    """What several kinds have in common, by key, with its name in both languages."""
    return {row["key"]: row["label"] for row in read_fixture("vocabulary/families.json")}


@cache
def materials() -> Mapping[str, Mapping[str, Any]]:
    """All materials by key, with what is known of their protection."""
    return {row["key"]: row for row in read_fixture("vocabulary/materials.json")}


def material_label(key: str, code: str | None = None) -> str:
    """Its name in the language of ``code`` or the one in force; else the bare key."""
    return in_language(materials()[key]["label"], code) if key in materials() else key


def protection_of(key: str) -> Mapping[str, Any] | None:
    """Return the protected-species entry of a material, or None."""
    found: Mapping[str, Any] | None = materials().get(key, {}).get("protected")
    return found


def _protection() -> Mapping[str, bool]:
    return {key: bool(row["protected"]) for key, row in materials().items()}
