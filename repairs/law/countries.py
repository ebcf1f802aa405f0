"""Countries by the two capital letters of ISO 3166-1, and their everyday names."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache

from django.conf import settings

from repairs.language.text import folded, in_language


@cache
def _names() -> Mapping[str, Mapping[str, str]]:
    file = settings.FIXTURES / "books" / "country_names.json"
    names: Mapping[str, Mapping[str, str]] = json.loads(file.read_text(encoding="utf-8"))["names"]
    return names


def is_country(code: str) -> bool:
    """Whether those two capital letters are assigned."""
    return code in _names()


def country_name(code: str) -> str:
    """In the language in force; the code itself when it is nobody's."""
    return in_language(_names().get(code)) or code


def country_choices() -> list[tuple[str, str]]:
    """All of them, in the order of their names in the language in force."""
    rows = ((code, in_language(names)) for code, names in _names().items())
    return sorted(rows, key=lambda row: folded(row[1]))
