"""law.territories: moved here."""

from __future__ import annotations

from functools import cache
from typing import Any

from repairs.storage.fixtures import read_fixture


@cache
def _countries() -> dict[str, Any]:
    countries: dict[str, Any] = read_fixture("books/countries.json")
    return countries


def eu() -> frozenset[str]:
    return frozenset(_countries()["eu"])


def territory(country: str) -> str:
    """The country whose VAT is charged there: its own, but for a few small ones."""
    return str(_countries()["vat_of"].get(country, country))
