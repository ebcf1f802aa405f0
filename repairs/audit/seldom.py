"""Lines for what happens often: once an hour for each person, or counted by the hour.

The log is kept for ever. What a person of the house repeats is said once an hour; what a stranger
can repeat as he likes is said once an hour for each account that he tries, and the number of tries
when that hour is over: so at most two lines an hour for each account, and two for names that are
none.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.db.models import F

from repairs.audit.actions import deed, record, subject_key
from repairs.audit.models import LogEntry, Tally

HOUR = dt.timedelta(hours=1)


def record_seldom(
    by: AbstractBaseUser | None, verb: str, subject: object, *, at: dt.datetime, **details: Any
) -> None:
    """Say the line, unless the same person did the same to the same within the last hour."""
    key, actor = subject_key(subject), by.pk if by else None
    told = LogEntry.objects.filter(
        subject=key, verb=verb, actor_id=actor, at__gt=at - HOUR, details=details
    )
    # No deed is opened for a question: of two looks at once both may be said, which harms nobody.
    if told.exists():
        return
    with deed():
        record(by, verb, key, at=at, **details)


@deed()
def record_counted(
    verb: str, subject: str, *, at: dt.datetime, hashed: Mapping[str, object] | None = None
) -> None:
    """Say the first of an hour at once, and count the others."""
    tell_counts(at=at)
    row, is_first = Tally.objects.get_or_create(verb=verb, subject=subject, hour=_hour_of(at))
    Tally.objects.filter(pk=row.pk).update(count=F("count") + 1)
    if is_first:
        record(None, verb, subject, at=at, hashed=hashed)


@deed()
def tell_counts(*, at: dt.datetime) -> None:
    """Say how many there were in each hour that is over; one that came alone was said already."""
    over = Tally.objects.select_for_update().filter(hour__lt=_hour_of(at)).order_by("pk")
    for row in over:
        if row.count > 1:
            hour = row.hour.astimezone(dt.UTC).isoformat(timespec="minutes")
            record(None, f"{row.verb}.counted", row.subject, at=at, count=row.count, hour=hour)
        row.delete()


def _hour_of(at: dt.datetime) -> dt.datetime:
    return at.astimezone(dt.UTC).replace(minute=0, second=0, microsecond=0)
