"""The job that makes the backup of a night."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.utils import timezone

from repairs.jobs.registry import Progress, job
from repairs.keep.actions import back_up
from repairs.keep.due import BACK_UP, wanted_from_settings
from repairs.keep.refusals import PlaceUnusableError


@job(BACK_UP)
def run_backup(progress: Progress) -> dict[str, Any]:
    """Make it, as the settings say. Begun twice, it makes two entries, which does no harm."""
    progress(0, 1)
    if not settings.BACKUP_TO:
        raise PlaceUnusableError(place="SAUTEREAU_BACKUP_TO", why="—")
    made = back_up(
        settings.BACKUP_TO, wanted_from_settings(), at=timezone.now(), keep_n=settings.BACKUP_KEEP
    )
    progress(1, 1)
    return {"entry": made.entry.name, "files": made.files_n, "copied": made.copied_n}
