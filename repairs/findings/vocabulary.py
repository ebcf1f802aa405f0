"""The damage vocabulary: groups of terms with a definition that an owner understands."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from django.utils.text import capfirst

from repairs.instruments.pattern import Kind
from repairs.instruments.scales import scale_label
from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture


@cache
def terms() -> Mapping[str, Mapping[str, Any]]:
    """The words for damage by their keys, read once."""
    groups = read_fixture("vocabulary/damage.json")["groups"]
    return {term["key"]: term for group in groups for term in group["terms"]}


def term_label(key: str, code: str | None = None) -> str:
    """The word for what is seen; the key itself when the vocabulary no longer has it."""
    return in_language(terms()[key]["label"], code) if key in terms() else key


def term_definition(key: str, code: str | None = None) -> str:
    """What the word means, as papers print it beside the finding."""
    return in_language(terms()[key]["definition"], code) if key in terms() else ""


def term_choices(kind: Kind) -> list[tuple[str, list[tuple[str, str]]]]:
    """Terms that fit a kind of instrument, under the names of their groups, for a select."""
    groups = read_fixture("vocabulary/damage.json")["groups"]
    return [
        (
            str(capfirst(in_language(group["label"]))),
            [
                (term["key"], in_language(term["label"]))
                for term in group["terms"]
                if kind.fits(term.get("families", ()))
            ],
        )
        for group in groups
    ]


def extent_words(value: object, unit: str, code: str | None = None) -> str:
    """A number with its unit as people read it: ``83 mm``, ``5`` pieces, ``12 %``."""
    if unit == "count":
        return str(value)
    return f"{value}\u00a0{scale_label('extent_units', unit, code)}"
