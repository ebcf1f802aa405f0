"""What the house does by itself once a day: each chore is a job without arguments.

There is no clock process: a worker looks every few minutes. One that was switched off at night
does it at the first look of the day.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.jobs.actions import enqueue
from repairs.jobs.models import Chore

# In the time of the house: after the last lamp is out, before the first comes in.
FIRST_HOUR = 2
_CHORES: list[str] = []
_LOOKS: list[Callable[[dt.datetime], object]] = []


def daily(name: str) -> None:
    """Have the job of that name queued once a day; rooms say so when they are loaded."""
    if name not in _CHORES:
        _CHORES.append(name)


def at_each_look(act: Callable[[dt.datetime], object]) -> None:
    """Have a room asked at every look whether something of its own is due, at an hour it chose."""
    if act not in _LOOKS:
        _LOOKS.append(act)


def queue_due(now: dt.datetime) -> list[str]:
    """Queue the chores of this day that nobody has queued yet; safe with several processes."""
    for act in _LOOKS:
        act(now)
    local = timezone.localtime(now)
    if local.hour < FIRST_HOUR:
        return []
    return [name for name in _CHORES if _is_mine(name, local.date())]


def _is_mine(name: str, today: dt.date) -> bool:
    """Whether this process is the one that queued it for today."""
    with transaction.atomic():
        # One statement that asks and takes: of two processes one changes the row, and the other
        # finds that there is nothing to change.
        if Chore.objects.filter(name=name, begun_on__lt=today).update(begun_on=today):
            enqueue(name)
            return True
    if not Chore.objects.filter(name=name).exists():
        _begin_with_the_next_night(name, today)
    return False


def _begin_with_the_next_night(name: str, today: dt.date) -> None:
    """A house that was just set up has nothing to look after yet."""
    try:
        with transaction.atomic():
            Chore.objects.create(name=name, begun_on=today)
    except IntegrityError:
        pass  # the other process was here first
