"""What has passed: the strip of steps, and the lines of the log in words."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils.translation import gettext as _

from repairs.audit.models import LogEntry
from repairs.bench.deeds import deed_words
from repairs.cases.because import reason_words
from repairs.cases.models import Case
from repairs.language.text import labelled

LOG_LINES = 120
BY_THE_OWNER = ("consent.given", "work.agreed")


@dataclass(frozen=True)
class StepMark:
    """One step on the strip: passed on a day, present, or ahead."""

    key: str
    label: str
    at: dt.datetime | None
    is_present: bool


@dataclass(frozen=True)
class LogLine:
    """One deed of the case's history, in words."""

    at: dt.datetime
    who: str
    words: str


def strip(case: Case) -> list[StepMark]:
    """The steps of the case's path, each with the moment when it was last reached."""
    reached = {move.step: move.at for move in case.moves.all()}
    path = case.path
    present = path.index(case.step) if case.step in path else 0
    return [
        StepMark(
            step,
            str(Case.Step(step).label),
            reached.get(step) if i <= present else None,
            i == present,
        )
        for i, step in enumerate(path)
    ]


def log_lines(case: Case) -> list[LogLine]:
    """The case's lines of the log, the newest first, in words."""
    rows = LogEntry.objects.filter(subject=case.log_key).select_related("actor")
    why = {move.pk: reason_words(move.because) for move in case.moves.all()}
    return [
        LogLine(
            row.at,
            _who(row),
            labelled(deed_words(row.verb, row.details), why.get(row.details.get("move", 0), "")),
        )
        for row in rows.order_by("-seq")[:LOG_LINES]
    ]


def _who(row: LogEntry) -> str:
    """Who did it; what nobody of the house did was decided by the owner, through the link."""
    if row.actor is not None:
        return str(row.actor)
    return str(_("the owner, by the link")) if row.verb in BY_THE_OWNER else "—"
