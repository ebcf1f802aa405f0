"""Preview and issue the papers of a case; both run as jobs, since a long one takes seconds."""

from __future__ import annotations

import datetime as dt
from functools import partial

from repairs.audit.actions import deed
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.jobs.actions import enqueue
from repairs.jobs.models import Job
from repairs.papers.kinds import KINDS, compile_paper
from repairs.people.models import User
from repairs.press.actions import issue, propose_seal
from repairs.press.document import new_code
from repairs.press.models import Paper, PaperDraft
from repairs.press.refusals import PreviewOutdatedError
from repairs.press.render import render
from repairs.storage import files as store


def draft_of(case: Case, kind: str, language: str, *, by: User, at: dt.datetime) -> PaperDraft:
    """Open a draft of a paper. Refuses at once what the paper would refuse anyway."""
    sheet = compile_paper(kind, case, language=language, made_at=at)
    return PaperDraft.objects.create(
        kind=sheet.kind,
        subject=sheet.subject,
        language=language,
        fingerprint=sheet.fingerprint(),
        made_at=at,
        made_by=by,
        code=new_code(),
    )


@deed()
def ask_for_preview(
    case: Case, kind: str, language: str, *, by: User, at: dt.datetime
) -> tuple[PaperDraft, Job]:
    """Queue a preview of what the case says now."""
    draft = draft_of(case, kind, language, by=by, at=at)
    return draft, enqueue("papers.preview", by=by, draft=draft.pk)


def make_preview(draft: PaperDraft) -> None:
    """Print the preview of what the case says now, watermarked, and remember what it said."""
    case = _case_of(draft)
    sheet = compile_paper(draft.kind, case, language=draft.language, made_at=draft.made_at)
    pdf, _pages = render(sheet)
    _digest, name = store.keep(pdf, "previews", ".pdf")
    draft.fingerprint, draft.file_name = sheet.fingerprint(), name
    draft.save(update_fields=["fingerprint", "file_name"])


def is_fresh(draft: PaperDraft, case: Case, *, at: dt.datetime) -> bool:
    """Whether the preview shows what the case says now."""
    if not draft.file_name:
        return False
    sheet = compile_paper(draft.kind, case, language=draft.language, made_at=at)
    return sheet.fingerprint() == draft.fingerprint


@deed()
def ask_for_issue(draft: PaperDraft, *, by: User, at: dt.datetime) -> Job:
    """Queue the issue of exactly what the preview showed.

    Raises PreviewOutdatedError when the case has changed since.
    """
    if not is_fresh(draft, _case_of(draft), at=at):
        raise PreviewOutdatedError
    return enqueue("papers.issue", by=by, draft=draft.pk, issuer=by.pk, at=at.isoformat())


def issue_paper(draft: PaperDraft, *, by: User, at: dt.datetime) -> Paper:
    """Print and seal the paper, and do what goes with its issue, in one transaction.

    Repeating it for the same draft returns the paper that was issued the first time.
    """
    if draft.paper is not None:
        return draft.paper
    case, also = _case_of(draft), KINDS[draft.kind].also
    seal = propose_seal(draft.kind, draft.subject, by=by, at=at, code=draft.code)
    sheet = compile_paper(draft.kind, case, language=draft.language, made_at=at, seal=seal)
    if sheet.fingerprint() != draft.fingerprint:
        raise PreviewOutdatedError
    hold = partial(locked_case, case.pk)
    if also is None:
        return issue(sheet, by=by, draft=draft, hold=hold)
    then = partial(also, by=by, at=at)
    return issue(sheet, by=by, draft=draft, hold=hold, also=lambda _paper: then(case))


def _case_of(draft: PaperDraft) -> Case:
    number = draft.subject.removeprefix("case:")
    return Case.objects.with_names().get(number=number)
