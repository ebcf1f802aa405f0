"""How far the numbers had come, asked after a restore: what the page shows of each line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from repairs.audit.came_back import Line, day_of_backup, to_look_at
from repairs.language.refusal import WorkshopError


@dataclass(frozen=True)
class Asked:
    """A line, what was typed for it, and what is wrong with that or would be missing."""

    line: Line
    typed: str = ""
    refusal: str = ""
    missing: tuple[str, str] | None = None


def numbers_facts(request: HttpRequest) -> dict[str, Any]:
    """What the page of the head of the log shows of lines that nobody has looked at."""
    found = [_asked(line, request) for line in to_look_at()]
    return {"numbers": found, "back_from": day_of_backup() if found else None}


def _asked(line: Line, request: HttpRequest) -> Asked:
    if request.method != "POST" or request.POST.get("line") != line.mark:
        return Asked(line)
    typed = request.POST.get("number", "")
    try:
        return Asked(line, typed, missing=line.missing(line.read(typed)))
    except WorkshopError as refusal:
        return Asked(line, typed, refusal=str(refusal))
