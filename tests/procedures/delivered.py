"""The procedures as delivered, read from their file, and how a test asks about them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


def load(name: str) -> Any:
    return json.loads((FIXTURES / name).read_text(encoding="utf-8"))


KINDS = [load(f"kinds/{path.name}") for path in sorted((FIXTURES / "kinds").glob("*.json"))]


def sheets_of(kind: dict[str, Any]) -> set[str]:
    return {one if isinstance(one, str) else one["sheet"] for one in kind["sheets"]}


def words(text: str) -> list[str]:
    """Split a list of keys, which reads better as one line of words than one key a line."""
    return text.split()


TOUCHES = {"tangents", "rim", "dog", "bridge", "finish"}
PROCEDURES = load("procedures.json")
BY_KEY = {one["key"]: one for one in PROCEDURES}
EVERY = pytest.mark.parametrize("one", PROCEDURES, ids=lambda one: one["key"])


def steps(key: str) -> list[str]:
    return [step["key"] for step in BY_KEY[key]["steps"]]


def said(one: dict[str, Any]) -> str:
    """The steps of a procedure in English, as one text."""
    return "; ".join(step["label"]["en"] for step in one["steps"])


def wanted(key: str, phase: str) -> dict[str, list[str]]:
    """The gauges that a procedure asks for in that phase, with the figures held to a limit."""
    rows = BY_KEY[key]["readings"]
    return {row["gauge"]: row["figures"] for row in rows if row["phase"] == phase}


def in_order(found: list[str], *keys: str) -> bool:
    places = [found.index(key) for key in keys]
    return places == sorted(places)
