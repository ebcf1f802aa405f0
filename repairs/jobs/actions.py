"""Queue a job, claim one, renew its lease, end it."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from repairs.jobs.models import Job
from repairs.jobs.registry import is_known, kind_of
from repairs.jobs.troubles import NEVER_ENDED

# Longer than three renewals, so that one “database is locked” does not hand the job to another.
LEASE = dt.timedelta(seconds=30)
MOST_ATTEMPTS = 3


def enqueue(
    name: str,
    *,
    by: AbstractBaseUser | None = None,
    wait: dt.timedelta = dt.timedelta(0),
    **arguments: Any,
) -> Job:
    """Put a job in the queue, in the caller's transaction: it runs only if that one commits, and
    not before the ``wait`` is over."""
    if not is_known(name):
        raise RuntimeError(f"no job is called {name}")
    now = timezone.now()
    return Job.objects.create(
        name=name,
        arguments=arguments,
        owner_id=by.pk if by else None,
        created_at=now,
        not_before=now + wait,
    )


def claim_next(worker: str) -> Job | None:
    """Take the oldest job that waits or was abandoned, with a lease, so that no other takes it."""
    now = timezone.now()
    with transaction.atomic():
        # Two workers step past each other's row instead of waiting for it. SQLite knows no row
        # locks: there the transaction itself lets one writer in at a time.
        queue = Job.objects.claimable(now).select_for_update(skip_locked=True)
        # A job that kills its worker never reports a failure; it is known by having been begun too
        # often.
        while (row := queue.first()) and row.attempts >= MOST_ATTEMPTS:
            _give_up(row, "", NEVER_ENDED)
        if row is None:
            return None
        row.state, row.worker = Job.State.RUNNING, worker
        row.attempts += 1
        row.lease_until = now + LEASE
        row.save(update_fields=["state", "worker", "attempts", "lease_until"])
        return row


def renew(row: Job, worker: str) -> bool:
    """Prolong the lease; False when another worker has taken the job meanwhile."""
    until = timezone.now() + LEASE
    # One statement that also asks whether the job is still ours: a laptop that slept has lost its
    # lease, and must not take it back from who works on it now.
    mine = Job.objects.filter(pk=row.pk, worker=worker, state=Job.State.RUNNING)
    return mine.update(lease_until=until) == 1


def tell_progress(row: Job, done: int, total: int) -> None:
    """Write down how far the job is, for the page that waits for it."""
    Job.objects.filter(pk=row.pk).update(progress_done=done, progress_total=total)


def finish(row: Job, worker: str, result: dict[str, Any] | None) -> None:
    """Note the result, unless another worker took the job over meanwhile."""
    with transaction.atomic():
        # By the name of the worker: whoever was declared dead and comes back finds nothing to
        # finish.
        mine = Job.objects.select_for_update().filter(pk=row.pk, worker=worker).first()
        if mine is not None:
            mine.result = result or {}
            _end(mine, Job.State.DONE, "")


def fail(row: Job, worker: str, why: str, *, again: bool, trouble: str = "") -> None:
    """End the job with the reason, or put it back a little later when trying again may help."""
    with transaction.atomic():
        mine = Job.objects.select_for_update().filter(pk=row.pk, worker=worker).first()
        if mine is None:
            return
        if again and mine.attempts < MOST_ATTEMPTS:
            mine.state, mine.message, mine.trouble = Job.State.WAITING, why, trouble
            # Longer each time, five seconds and then a minute: a full disk or a busy database needs
            # a moment, and not three tries in one.
            wait = dt.timedelta(seconds=5 * 12 ** (mine.attempts - 1))
            mine.not_before = timezone.now() + wait
            mine.save(update_fields=["state", "message", "trouble", "not_before"])
            return
        _give_up(mine, why, trouble)


def try_again(row: Job) -> bool:
    """Put a failed job back in the queue as if it were new; False when it is not (any longer) one.

    What waited for it waits again, in the same transaction.
    """
    with transaction.atomic():
        mine = Job.objects.select_for_update().failed().filter(pk=row.pk).first()
        if mine is None:
            return False
        kind = kind_of(mine.name)
        if kind is not None and kind.again is not None:
            kind.again(mine.arguments)
        mine.state, mine.attempts, mine.finished_at = Job.State.WAITING, 0, None
        mine.not_before = timezone.now()
        mine.save(update_fields=["state", "attempts", "finished_at", "not_before"])
    return True


def let_go(row: Job, **said: Any) -> bool:
    """Take a failed job off the list for good; ``said`` is handed to the room whose job it is."""
    with transaction.atomic():
        mine = Job.objects.select_for_update().failed().filter(pk=row.pk).first()
        if mine is None:
            return False
        kind = kind_of(mine.name)
        if kind is not None and kind.let_go is not None:
            kind.let_go(mine.arguments, **said)
        mine.let_go_at = timezone.now()
        mine.save(update_fields=["let_go_at"])
    return True


def _give_up(row: Job, message: str, trouble: str) -> None:
    """End it as failed, and tell the room whose job it is: nothing goes on waiting for it."""
    row.trouble = trouble
    _end(row, Job.State.FAILED, message)
    kind = kind_of(row.name)
    if kind is not None and kind.given_up is not None:
        kind.given_up(row.arguments, trouble)


def _end(row: Job, state: str, message: str) -> None:
    row.state, row.message, row.finished_at = state, message, timezone.now()
    row.lease_until = None
    row.save(update_fields=["state", "message", "trouble", "finished_at", "lease_until", "result"])
