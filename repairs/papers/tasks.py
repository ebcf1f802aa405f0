"""Jobs on papers: previews and issues take seconds and run beside the web.

All that compiles and prints is loaded by the job itself: every command of the house would wait
half a second for it otherwise.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext_lazy

from repairs.jobs.registry import About, Arguments, Progress, job
from repairs.people.models import User
from repairs.press.kinds import label_of
from repairs.press.models import PaperDraft


def _about(jobs: Sequence[Arguments]) -> list[About | None]:
    known = PaperDraft.objects.in_bulk([job["draft"] for job in jobs])
    return [_words(known.get(job["draft"])) for job in jobs]


def _words(draft: PaperDraft | None) -> About | None:
    if draft is None:
        return None
    number = draft.subject.removeprefix("case:")
    address = reverse("papers:make", args=[number, draft.kind])
    return About(f"{label_of(draft.kind)}, {number}", address)


@job("papers.preview", label=gettext_lazy("the preview of a paper"), deed="record", about=_about)
def preview(draft: int, progress: Progress) -> dict[str, Any]:
    """Make the preview of a draft, beside the web: a report takes seconds."""
    from repairs.papers.actions import make_preview  # noqa: PLC0415 - as the head of this file says

    row = PaperDraft.objects.get(pk=draft)
    progress(0, 1)
    make_preview(row)
    progress(1, 1)
    return {"draft": str(row.uuid)}


# A paper is issued in the name of whoever asked for it: nobody else asks for it anew.
@job("papers.issue", label=gettext_lazy("issuing a paper"), deed="", about=_about)
def issue(draft: int, issuer: int, at: str, progress: Progress) -> dict[str, Any]:
    """Issue the previewed paper; run again after a crash, it finds the paper already issued."""
    from repairs.papers.actions import issue_paper  # noqa: PLC0415 - as the head of this file says

    row = PaperDraft.objects.select_related("paper").get(pk=draft)
    who = User.objects.get(pk=issuer)
    progress(0, 1)
    paper = issue_paper(row, by=who, at=dt.datetime.fromisoformat(at))
    progress(1, 1)
    return {"paper": str(paper.uuid)}
