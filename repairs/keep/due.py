"""When the next backup is due, and how the house wants it."""

from __future__ import annotations

import datetime as dt

from django.conf import settings
from django.utils import timezone

from repairs.jobs.actions import enqueue
from repairs.jobs.models import Job
from repairs.keep.keys import Wanted
from repairs.keep.models import KeepRun
from repairs.keep.secrets import read_secret
from repairs.people.models import User

BACK_UP = "keep.back_up"


def wanted_from_settings(*, new_key: bool = False) -> Wanted:
    """How backups are encrypted that nobody stands beside. Raises SecretUnreadableError."""
    if settings.BACKUP_RECIPIENTS:
        return Wanted(recipients=tuple(settings.BACKUP_RECIPIENTS), new_key=new_key)
    if settings.BACKUP_PASSPHRASE_FILE:
        phrase = read_secret(settings.BACKUP_PASSPHRASE_FILE)
        return Wanted(passphrase=phrase, new_key=new_key)
    return Wanted()


def is_due(now: dt.datetime) -> bool:
    """Whether the backup of this day is still to be made: set up, its hour past, none begun."""
    if not settings.BACKUP_TO:
        return False
    hour = dt.time.fromisoformat(settings.BACKUP_AT)
    since = timezone.localtime(now).replace(
        hour=hour.hour, minute=hour.minute, second=0, microsecond=0
    )
    if since > now:
        since -= dt.timedelta(days=1)  # the night before: a house that was switched off catches up
    return not KeepRun.objects.filter(sort=KeepRun.Sort.BACKUP, begun_at__gte=since).exists()


def backup_if_due(now: dt.datetime) -> bool:
    """Queue the backup of this day once; says whether it was. For whatever looks every minute."""
    return is_due(now) and queue_backup() is not None


def queue_backup(by: User | None = None) -> Job | None:
    """Queue a backup now; None when one waits or runs already."""
    if Job.objects.open().filter(name=BACK_UP).exists():
        return None
    return enqueue(BACK_UP, by=by)
