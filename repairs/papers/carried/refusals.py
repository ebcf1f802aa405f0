"""Why a PDF cannot be read as a paper that carries its data: one sentence each."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class PaperUnreadableError(WorkshopError):
    """A file out of which no data of a paper can be read; each reason is a class of its own."""


class NotAPdfError(PaperUnreadableError):
    """It does not begin as a PDF does."""

    message = _("“%(file)s” is not a PDF. Give the paper as it was sent, not a scan or a picture.")


class PdfDamagedError(PaperUnreadableError):
    """It begins as a PDF and cannot be read further."""

    message = _("“%(file)s” is damaged or was cut short. Take a fresh copy of it.")


class PdfEncryptedError(PaperUnreadableError):
    """It is locked by a password; our own papers never are."""

    message = _("“%(file)s” is encrypted; papers are issued without a password. Give it as issued.")


class NoDataInsideError(PaperUnreadableError):
    """Nothing is enclosed, or nothing of ours: it was printed anew, or is no paper of a house."""

    message = _(
        "“%(file)s” carries no data: it is not a paper of this program, or was printed or saved "
        "anew, which drops what is enclosed."
    )


class DataDamagedError(PaperUnreadableError):
    """What is enclosed is no JSON (any more)."""

    message = _("“%(file)s”: the enclosed “%(name)s” cannot be read as JSON: %(why)s.")


class FormatUnknownError(PaperUnreadableError):
    """A paper of a later release, or of none."""

    message = _(
        "“%(file)s” carries data in the format “%(format)s”, and this program reads %(known)s. "
        "Read it with a later release."
    )


class DataIncompleteError(PaperUnreadableError):
    """It is JSON of a paper, and not all of it is there, or not what it must be."""

    message = _("“%(file)s”: the data it carries is not whole: %(missing)s.")
