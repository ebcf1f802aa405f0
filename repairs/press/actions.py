"""Issue a sheet for good: printed, signed, hashed and kept, in this order."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.urls import reverse

from repairs.audit.actions import deed, record
from repairs.audit.anchors import current_head
from repairs.audit.level import require_level
from repairs.audit.seldom import record_seldom
from repairs.press import proofs
from repairs.press.document import Seal, Sheet, new_code
from repairs.press.models import Paper, PaperDraft
from repairs.press.refusals import PreviewOutdatedError
from repairs.press.render import RENDERER, render
from repairs.press.sealing import Sealed, seal
from repairs.storage import files as store
from repairs.storage.reading import read_kept


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
        head=current_head(),
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
    """Print and sign the sealed sheet, and keep it as the next version of its kind and subject.

    Printing takes seconds, outside the transaction, and ``check`` may refuse the signed PDF. Then
    ``hold`` locks what it is about, before anything else is asked; paper, proofs, log line, the
    draft's link and what ``also`` does are written all or none. Raises PreviewOutdatedError, and
    BehindMarksError.
    """
    require_level()
    printed = _print(sheet, check)
    with deed():
        if hold is not None:
            hold()
        paper = _write_version(sheet, printed, by)
        proofs.keep_seal(paper, printed.sealed, by=by)
        if draft is not None:
            draft.paper = paper
            draft.save(update_fields=["paper"])
        if also is not None:
            also(paper)
        _log_issue(paper, by)
    return paper


@dataclass(frozen=True)
class _Printed:
    """A PDF that lies in the store already, whether or not a row will ever name it."""

    sha256: str
    file_name: str
    size_bytes: int
    pages: int
    seal: Seal
    sealed: Sealed


def _print(sheet: Sheet, check: Callable[[bytes], None] | None) -> _Printed:
    if sheet.seal is None:
        raise ValueError("a sheet without a seal is a preview")
    bare, pages = render(sheet)
    sealed = seal(bare, sheet)
    if check is not None:
        check(sealed.pdf)
    # Kept before its row is written: a file without a row is harmless, a row without its file
    # is a paper that was handed out and cannot be shown.
    digest, name = store.keep(sealed.pdf, "papers", ".pdf")
    return _Printed(digest, name, len(sealed.pdf), pages, sheet.seal, sealed)


def _write_version(sheet: Sheet, printed: _Printed, by: AbstractBaseUser) -> Paper:
    seal = printed.seal
    # Asked again under the lock: the seal was proposed before seconds of printing.
    previous = Paper.objects.current(sheet.kind, sheet.subject)
    if (previous.code if previous else "") != seal.replaces:
        raise PreviewOutdatedError
    return Paper.objects.create(
        kind=sheet.kind,
        subject=sheet.subject,
        title=sheet.title,
        language=sheet.language,
        version=seal.version,
        replaces=previous,
        code=seal.code,
        sha256=printed.sha256,
        file_name=printed.file_name,
        size_bytes=printed.size_bytes,
        pages=printed.pages,
        data=sheet.data(),
        renderer=RENDERER,
        issued_at=seal.issued_at,
        issued_by_id=by.pk,
    )


def _log_issue(paper: Paper, by: AbstractBaseUser) -> None:
    record(
        by,
        "paper.issued",
        paper.subject,
        at=paper.issued_at,
        paper=str(paper.uuid),
        kind=paper.kind,
        version=paper.version,
        sha256=paper.sha256,
    )


def note_download(paper: Paper, *, by: AbstractBaseUser, at: dt.datetime) -> None:
    """Say that somebody of the house took an issued paper out; once an hour for each person."""
    record_seldom(by, "paper.taken_out", f"paper:{paper.pk}", at=at, kind=paper.kind)


def pdf_bytes(paper: Paper) -> bytes:
    """The issued file as it was kept. Raises FileLostError, or FileChangedError, when it is not."""
    return read_kept(paper.file_name, paper.sha256)
