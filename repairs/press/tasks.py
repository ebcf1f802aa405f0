"""The job that fetches the proofs of a paper, and asks again for days when nobody answers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy

from repairs.jobs.actions import enqueue
from repairs.jobs.registry import About, Arguments, Progress, job
from repairs.press.models import Paper
from repairs.press.refusals import ProofsGivenUpError, ProofsNotFoundError, StampServerError
from repairs.press.sealing import PROVE

# After 1, 2, 4 … minutes, then every six hours: a server that is gone over Christmas is asked until
# January, and one that is gone for ever for a month.
MOST_TRIES = 128
FIRST_WAIT = dt.timedelta(minutes=1)
LONGEST_WAIT = dt.timedelta(hours=6)


def _about(jobs: Sequence[Arguments]) -> list[About | None]:
    known = Paper.objects.in_bulk([job["paper"] for job in jobs])
    return [_words(known.get(job["paper"])) for job in jobs]


def _words(paper: Paper | None) -> About | None:
    if paper is None:
        return None
    return About(paper.title, reverse("press:verify_code", args=[paper.code]))


@job(PROVE, label=gettext_lazy("fetching the proofs of a paper"), about=_about)
def prove(paper: int, progress: Progress, tried: int = 0) -> dict[str, Any]:
    """Fetch what the paper lacks; when a server gives nothing, put the same job off."""
    # A quarter of a second of loading, which only this job shall pay.
    from repairs.press.proving import prove as fetch  # noqa: PLC0415 - see above

    row = Paper.objects.select_related("issued_by").get(pk=paper)
    progress(0, 1)
    try:
        made = fetch(row, at=timezone.now())
    except (StampServerError, ProofsNotFoundError) as trouble:
        tries = tried + 1
        if tries >= MOST_TRIES:
            raise ProofsGivenUpError(title=row.title, tries=tries, why=trouble) from trouble
        wait = wait_after(tries)
        enqueue(PROVE, by=row.issued_by, wait=wait, paper=paper, tried=tries)
        return {"put_off": str(trouble), "tries": tries}
    progress(1, 1)
    return {"proofs": [proof.sort for proof in made]}


def wait_after(tries: int) -> dt.timedelta:
    """How long the next try waits after so many in vain."""
    doublings = min(tries - 1, 12)
    return min(FIRST_WAIT * int(2**doublings), LONGEST_WAIT)
