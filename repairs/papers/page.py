"""What the page of a paper says before the paper is made."""

from __future__ import annotations

import datetime as dt
from typing import Any

from repairs.cases.models import Case
from repairs.papers.actions import is_fresh
from repairs.papers.blocks.pictures import unbound_tags
from repairs.papers.needs.kind import PaperKind, lack_of
from repairs.papers.needs.lacks import facts_of
from repairs.press.models import Paper, PaperDraft
from repairs.readings.measured import questions


def state_of(case: Case, draft: PaperDraft | None, *, at: dt.datetime) -> dict[str, Any]:
    """Whether the preview, if there is one, still shows what the case says."""
    if draft is None or not draft.file_name:
        return {"is_fresh": False}
    if lack_of(draft.kind, facts_of(case)) is not None:
        return {"is_fresh": False}
    return {"is_fresh": is_fresh(draft, case, at=at)}


def about(case: Case, kind: PaperKind) -> dict[str, Any]:
    """What will be printed and what will be missing; or why the paper cannot be made yet."""
    lack = kind.lack(facts_of(case))
    body = kind.body(case) if lack is None else None
    return {
        "lack": lack,
        "contents": kind.contents(body) if body is not None else [],
        "gaps": kind.gaps(body) if body is not None else [],
        "unbound": unbound_tags(case) if kind.shows_tags else 0,
        "asked": questions(case) if kind.shows_tags else [],
        "papers": list(
            Paper.objects.about(kind.key, case.log_key).select_related("issued_by", "replaced_by")
        ),
        "is_return": kind.ends_stay,
    }
