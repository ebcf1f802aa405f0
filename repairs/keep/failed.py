"""Jobs that could not be done: listed with their reason, tried again or let go by a person."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from repairs.audit.actions import deed, record
from repairs.jobs.actions import let_go as let_job_go
from repairs.jobs.actions import try_again as try_job_again
from repairs.jobs.models import Job
from repairs.jobs.registry import About, kind_of, trouble_words
from repairs.people.access import DEEDS, may
from repairs.people.models import User

MOST_SHOWN = 100


@dataclass(frozen=True)
class Failed:
    """A failed job as the list shows it."""

    job: Job
    label: str
    about: About | None
    why: str
    is_mine: bool


def failed_jobs(by: User) -> list[Failed]:
    """Those that nobody has let go, the newest first."""
    rows = list(Job.objects.failed().select_related("owner")[:MOST_SHOWN])
    abouts = _abouts(rows)
    return [_shown(row, abouts.get(row.pk), by) for row in rows]


def _abouts(rows: Iterable[Job]) -> dict[int, About | None]:
    """What each is about; one question to the database a kind of job."""
    by_name: dict[str, list[Job]] = {}
    for row in rows:
        by_name.setdefault(row.name, []).append(row)
    found: dict[int, About | None] = {}
    for name, jobs in by_name.items():
        kind = kind_of(name)
        if kind is not None and kind.about is not None:
            keys = [job.pk for job in jobs]
            found |= zip(keys, kind.about([job.arguments for job in jobs]), strict=True)
    return found


def _shown(row: Job, about: About | None, by: User) -> Failed:
    kind = kind_of(row.name)
    return Failed(
        job=row,
        label=str(kind.label) if kind else row.name,
        about=about,
        why=trouble_words(row.trouble, row.message),
        is_mine=may_decide(row, by),
    )


def may_decide(row: Job, by: User) -> bool:
    """Whether the person asked for it, or may do such a thing for others."""
    kind = kind_of(row.name)
    if kind is None:
        return may(by, "house")
    return row.owner_id == by.pk or kind.deed in DEEDS.get(by.role, frozenset())


@deed()
def try_again(row: Job, *, by: User, at: dt.datetime) -> bool:
    """Have it done once more; False when somebody else was first."""
    is_done = try_job_again(row)
    if is_done:
        record(by, "job.tried_again", row, at=at, name=row.name)
    return is_done


@deed()
def let_go(row: Job, *, by: User, at: dt.datetime) -> bool:
    """Take it off the list; False when somebody else was first."""
    is_done = let_job_go(row, by=by, at=at)
    if is_done:
        record(by, "job.let_go", row, at=at, name=row.name)
    return is_done
