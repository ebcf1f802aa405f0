"""Preview a sheet, issue it for good, and tell of a PDF whether it is one of the house's."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.urls import reverse

from repairs.audit.actions import deed, record
from repairs.press.document import Seal, Sheet, new_code
from repairs.press.models import Paper, PaperDraft
from repairs.press.refusals import PreviewOutdatedError
from repairs.press.render import RENDERER, render
from repairs.storage import files as store


def verify_address(code: str) -> str:
    """The full address under which anyone may ask after the code; it stands on the paper."""
    return settings.SITE_ADDRESS + reverse("press:verify_code", args=[code])


def propose_seal(
    kind: str, subject: str, *, by: AbstractBaseUser | None, at: dt.datetime, code: str = ""
) -> Seal:
    """The seal that the next version would bear; it binds nobody until the paper is kept."""
    previous = Paper.objects.current(kind, subject)
    code = code or new_code()
    return Seal(
        code=code,
        version=previous.version + 1 if previous else 1,
        replaces=previous.code if previous else "",
        issued_at=at,
        issued_by=str(by),
        verify_address=verify_address(code),
    )


def issue(
    sheet: Sheet,
    *,
    by: AbstractBaseUser,
    draft: PaperDraft | None = None,
    hold: Callable[[], object] | None = None,
    check: Callable[[bytes], None] | None = None,
    also: Callable[[Paper], None] | None = None,
) -> Paper:
    """Print the sealed sheet and keep it as the next version of its kind and subject.

    Printing takes seconds and runs outside the transaction, and ``check`` may still refuse the
    PDF. Then ``hold`` locks what the paper is about, before anything else is asked; the paper, the
    log line, the draft's link and what ``also`` does are written together or not at all.
    Raises PreviewOutdatedError when another version was issued meanwhile.
    """
    seal = sheet.seal
    if seal is None:
        raise ValueError("a sheet without a seal is a preview")
    pdf, pages = render(sheet)
    if check is not None:
        check(pdf)
    digest, name = store.keep(pdf, "papers", ".pdf")
    with deed():
        if hold is not None:
            hold()
        previous = Paper.objects.current(sheet.kind, sheet.subject)
        if (previous.code if previous else "") != seal.replaces:
            raise PreviewOutdatedError
        paper = Paper.objects.create(
            kind=sheet.kind,
            subject=sheet.subject,
            title=sheet.title,
            language=sheet.language,
            version=seal.version,
            replaces=previous,
            code=seal.code,
            sha256=digest,
            file_name=name,
            size_bytes=len(pdf),
            pages=pages,
            data=sheet.data(),
            renderer=RENDERER,
            issued_at=seal.issued_at,
            issued_by_id=by.pk,
        )
        if draft is not None:
            draft.paper = paper
            draft.save(update_fields=["paper"])
        if also is not None:
            also(paper)
        record(
            by,
            "paper.issued",
            sheet.subject,
            at=seal.issued_at,
            paper=str(paper.uuid),
            kind=paper.kind,
            version=paper.version,
            sha256=digest,
        )
    return paper


def pdf_bytes(paper: Paper) -> bytes:
    """The issued file as it was kept. Raises FileNotFoundError when the store has lost it."""
    return store.path_of(paper.file_name).read_bytes()
