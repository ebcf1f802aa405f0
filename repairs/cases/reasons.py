"""Why an instrument stays, and the steps that each reason goes through (fixtures, not code)."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture

HOUSE_REASON = "house"  # the instrument is the workshop's own


@cache
def reasons() -> Mapping[str, Mapping[str, Any]]:
    """The reasons for which an instrument comes, by key, out of the vocabulary."""
    rows: Any = read_fixture("vocabulary/reasons.json")
    entries = rows["entries"] if isinstance(rows, dict) else rows
    return {row["key"]: row for row in entries}


def reason_label(key: str, code: str | None = None) -> str:
    """The reason in words; a key that is not known any more stands for itself."""
    return in_language(reasons()[key]["label"], code) if key in reasons() else key


def reason_choices() -> list[tuple[str, str]]:
    """Keys and labels for a form, in the order of the vocabulary."""
    return [(key, in_language(row["label"])) for key, row in reasons().items()]


def steps_for(key: str) -> list[str]:
    """The steps of a stay for that reason; a reason no longer known keeps the full path."""
    row = reasons().get(key) or reasons()["repair"]
    return list(row["steps"])


def endings_for(key: str) -> list[str]:
    """The steps that may end a stay for that reason; the usual one is the last of its steps."""
    row = reasons().get(key) or reasons()["repair"]
    return list(row.get("ends") or row["steps"][-1:])
