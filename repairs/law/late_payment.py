"""law.late_payment: moved here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from repairs.storage.fixtures import read_fixture


@cache
def laws() -> Mapping[str, Any]:
    found: Mapping[str, Any] = read_fixture("books/reminders.json")
    return found
