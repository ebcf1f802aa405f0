"""What the house does by itself every night, and what a principal has done from the page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.jobs.chores import at_each_look, daily
from repairs.jobs.registry import About, Arguments, Progress, job
from repairs.keep import sweeping
from repairs.keep.actions import back_up
from repairs.keep.due import BACK_UP, backup_if_due, wanted_from_settings
from repairs.keep.refusals import BackupBusyError, PlaceUnusableError
from repairs.keep.verifying import NIGHTLY_PCT, verify
from repairs.people import head_mail
from repairs.screens.once import sweep_sent_forms
from repairs.screens.throttle import sweep_tries

NIGHTLY, MEND, SWEEP = "keep.verify", "keep.mend", "keep.sweep"
HEAD = "keep.head"


def _about(jobs: Sequence[Arguments]) -> list[About]:
    return [About(_("Files of the workshop"), reverse("keep:store"))] * len(jobs)


def _about_backup(jobs: Sequence[Arguments]) -> list[About]:
    return [About(_("Backups"), reverse("keep:backups"))] * len(jobs)


def _about_log(jobs: Sequence[Arguments]) -> list[About]:
    return [About(_("The head of the log"), reverse("bench:log_head"))] * len(jobs)


@job(NIGHTLY, label=gettext_lazy("reading files back"), about=_about)
def verify_share(progress: Progress) -> dict[str, Any]:
    """Read back those that were read longest ago."""
    report = verify(share_pct=NIGHTLY_PCT, at=timezone.now())
    progress(1, 1)
    return {"read": report.read_n, "found": len(report.found)}


@job(MEND, label=gettext_lazy("mending files"), about=_about)
def mend(progress: Progress) -> dict[str, Any]:
    """Look once more at what was found, and mend what can be mended here."""
    report = verify(share_pct=0, heal=True, at=timezone.now())
    progress(1, 1)
    return {"healed": len(report.healed), "found": len(report.found)}


@job(SWEEP, label=gettext_lazy("sweeping leftovers"), about=_about)
def sweep(progress: Progress) -> dict[str, Any]:
    """Sweep what kills and full disks left behind."""
    now = timezone.now()
    swept = sweeping.sweep(now)
    # What the doors count is nobody's work and is not listed: tokens of forms long sent, old tries.
    gone = sweep_sent_forms(at=now) + sweep_tries(at=now)
    progress(1, 1)
    return {"swept": len(swept), "of_the_doors": gone}


@job(HEAD, label=gettext_lazy("sending the head of the log"), about=_about_log)
def send_head(progress: Progress) -> None:
    """The head leaves the house, where an address for it is set; hours over are counted."""
    head_mail.once_a_day(at=timezone.now())
    progress(1, 1)


@job(BACK_UP, label=gettext_lazy("making a backup"), about=_about_backup)
def run_backup(progress: Progress) -> dict[str, Any]:
    """Make it, as the settings say. Begun twice, it makes two entries, which does no harm."""
    if not settings.BACKUP_TO:
        raise PlaceUnusableError(place="SAUTEREAU_BACKUP_TO", why="—")
    wanted, keep_n = wanted_from_settings(), settings.BACKUP_KEEP
    try:
        made = back_up(settings.BACKUP_TO, wanted, at=timezone.now(), keep_n=keep_n)
    except BackupBusyError:
        return {"entry": ""}  # somebody makes one by hand: that is as good
    progress(1, 1)
    return {"entry": made.entry.name, "files": made.files_n, "copied": made.copied_n}


at_each_look(backup_if_due)
# In this order: what was swept is not found as an orphan.
daily(SWEEP)
daily(NIGHTLY)
daily(HEAD)
