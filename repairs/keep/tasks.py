"""What the house does by itself every night, and what a principal has done from the page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.jobs.chores import daily
from repairs.jobs.registry import About, Arguments, Progress, job
from repairs.keep import sweeping
from repairs.keep.verifying import NIGHTLY_PCT, verify
from repairs.people import head_mail

NIGHTLY, MEND, SWEEP = "keep.verify", "keep.mend", "keep.sweep"
HEAD = "keep.head"


def _about(jobs: Sequence[Arguments]) -> list[About]:
    return [About(_("Files of the workshop"), reverse("keep:store"))] * len(jobs)


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
    swept = sweeping.sweep(timezone.now())
    progress(1, 1)
    return {"swept": len(swept)}


@job(HEAD, label=gettext_lazy("sending the head of the log"), about=_about_log)
def send_head(progress: Progress) -> None:
    """The head leaves the house, where an address for it is set; hours over are counted."""
    head_mail.once_a_day(at=timezone.now())
    progress(1, 1)


# In this order: what was swept is not found as an orphan.
daily(SWEEP)
daily(NIGHTLY)
daily(HEAD)
