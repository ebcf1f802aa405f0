"""Queue a job, claim one, renew its lease, end it."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from repairs.jobs.models import Job
from repairs.jobs.registry import is_known

LEASE = dt.timedelta(seconds=30)
MOST_ATTEMPTS = 3


def enqueue(name: str, *, by: AbstractBaseUser | None = None, **arguments: Any) -> Job:
    """Put a job in the queue, in the caller's transaction: it runs only if that one commits."""
    if not is_known(name):
        raise RuntimeError(f"no job is called {name}")
    now = timezone.now()
    return Job.objects.create(
        name=name,
        arguments=arguments,
        owner_id=by.pk if by else None,
        created_at=now,
        not_before=now,
    )


def claim_next(worker: str) -> Job | None:
    """Take the oldest job that waits or was abandoned, with a lease, so that no other takes it."""
    now = timezone.now()
    with transaction.atomic():
        queue = Job.objects.claimable(now).select_for_update(skip_locked=True)
        while (row := queue.first()) and row.attempts >= MOST_ATTEMPTS:
            _end(row, Job.State.FAILED, _never_ended(row))
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
    mine = Job.objects.filter(pk=row.pk, worker=worker, state=Job.State.RUNNING)
    return mine.update(lease_until=until) == 1


def tell_progress(row: Job, done: int, total: int) -> None:
    """Write down how far the job is, for the page that waits for it."""
    Job.objects.filter(pk=row.pk).update(progress_done=done, progress_total=total)


def finish(row: Job, worker: str, result: dict[str, Any] | None) -> None:
    """Note the result, unless another worker took the job over meanwhile."""
    with transaction.atomic():
        mine = Job.objects.select_for_update().filter(pk=row.pk, worker=worker).first()
        if mine is not None:
            mine.result = result or {}
            _end(mine, Job.State.DONE, "")


def fail(row: Job, worker: str, why: str, *, again: bool) -> None:
    """End the job with the reason, or put it back a little later when trying again may help."""
    with transaction.atomic():
        mine = Job.objects.select_for_update().filter(pk=row.pk, worker=worker).first()
        if mine is None:
            return
        if again and mine.attempts < MOST_ATTEMPTS:
            mine.state, mine.message = Job.State.WAITING, why
            mine.not_before = timezone.now() + dt.timedelta(seconds=5 * mine.attempts)
            mine.save(update_fields=["state", "message", "not_before"])
            return
        _end(mine, Job.State.FAILED, why)


def _never_ended(row: Job) -> str:
    with translation.override(row.language):
        return _("It was started three times and never came to its end.")


def _end(row: Job, state: str, message: str) -> None:
    row.state, row.message, row.finished_at = state, message, timezone.now()
    row.lease_until = None
    row.save(update_fields=["state", "message", "finished_at", "lease_until", "result"])
