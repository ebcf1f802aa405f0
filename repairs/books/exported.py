"""What the log says of files that leave the house."""

from __future__ import annotations

import datetime as dt

from repairs.audit.actions import deed, record
from repairs.people.models import User


@deed()
def note_export(year: int, what: str, period: str, *, by: User, at: dt.datetime) -> None:
    """Say that somebody took a file of the books out; each is a copy of its day."""
    record(by, "books.exported", f"books:{year}", at=at, what=what, period=period)
