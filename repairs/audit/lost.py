"""Lines that were known once and given up, when the house went on from an older database."""

from __future__ import annotations

from dataclasses import dataclass

from repairs.audit.models import LogEntry

VERB = "house.went_on"


@dataclass(frozen=True)
class LostLine:
    """The last line that was given up, and the line that says so."""

    seq: int
    by_line: int


def lost_with(digits: str) -> LostLine | None:
    """The given up line whose hash begins so. Of each lost end only its last line is known."""
    lines = LogEntry.objects.filter(verb=VERB).values_list("seq", "details")
    for seq, told in lines:
        if str(told.get("sha256", "")).startswith(digits):
            return LostLine(int(told["line"]), seq)
    return None
