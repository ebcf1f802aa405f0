"""Which countries are of the European Union, and whose VAT a small one charges."""

from __future__ import annotations

from functools import cache
from typing import TypedDict

from repairs.storage.fixtures import read_fixture


class _Countries(TypedDict):
    eu: list[str]
    vat_of: dict[str, str]


@cache
def _countries() -> _Countries:
    countries: _Countries = read_fixture("books/countries.json")
    return countries


def eu() -> frozenset[str]:
    """The member states by their ISO 3166 codes; Northern Ireland is not among them."""
    return frozenset(_countries()["eu"])


def territory(country: str) -> str:
    """The country whose VAT is charged there: its own, but for a few small ones."""
    # Monaco counts as France, Man as the United Kingdom; the French overseas departments are told
    # apart by the fixture's own rows.
    return _countries()["vat_of"].get(country, country)
