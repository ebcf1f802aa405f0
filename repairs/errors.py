"""Every refusal the workshop can make to a person at the keyboard.

WorkshopError
├── NotAllowedHereError        the role of the person does not cover this deed
├── StepOrderError             a case cannot go from this step to that one
├── CustodyError               the chain of who holds the instrument would break
├── ChangedMeanwhileError      someone else saved the same thing first
├── NothingExaminedError       a condition report with no part looked at
├── ReasonForNoPhotoError      a condition report without a photo and without a reason
├── PreviewOutdatedError       the case changed after the preview that was to be issued
├── PaperNotPrintableError     the page maker could not make the PDF
├── PhotoRefusedError          a file that cannot be kept as a photo
├── InvoiceFigureError         a figure of an invoice that cannot be
├── InvoiceRulesError          an e-invoice that breaks a rule, or could not be held against them
└── ReceivedUnreadableError    a received file that holds no e-invoice to read
"""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


class WorkshopError(Exception):
    """A rule of the workshop said no. ``message`` is written for the user, and translated."""

    message: str | Promise = _("This cannot be done.")
    status = 409

    def __init__(self, **details: object) -> None:
        self.details = details
        super().__init__(details)

    def __str__(self) -> str:
        return str(self.message) % self.details


class NotAllowedHereError(WorkshopError):
    message = _("Your role (%(role)s) does not cover this. Ask the principal of the workshop.")
    status = 403


class StepOrderError(WorkshopError):
    message = _(
        "Case %(number)s is at the step “%(present)s” and cannot go to “%(wanted)s” from there."
    )


class CustodyError(WorkshopError):
    message = _(
        "The instrument of case %(number)s is not in the workshop any more, so it cannot be "
        "moved inside it. Record its return to the workshop first."
    )


class ChangedMeanwhileError(WorkshopError):
    message = _(
        "%(who)s saved this at %(when)s, while you were typing. Nothing of yours is lost: compare "
        "the two below, then save again to keep yours."
    )


class NothingExaminedError(WorkshopError):
    message = _(
        "No part of the instrument of case %(number)s has been looked at yet, so there is nothing "
        "to report. Record at least one part as looked at, or one finding."
    )


class ReasonForNoPhotoError(WorkshopError):
    message = _(
        "Case %(number)s has no photo. Add one, or state in “Looked over” why there is none."
    )


class PreviewOutdatedError(WorkshopError):
    message = _(
        "The case changed after this preview was made. Nothing was issued: make a new preview, "
        "look at it, then issue that one."
    )


class PaperNotPrintableError(WorkshopError):
    message = _("The paper could not be made: %(why)s")


class PhotoRefusedError(WorkshopError):
    message = _("“%(name)s” was not kept: %(why)s")


class InvoiceFigureError(WorkshopError):
    message = _("%(where)s: %(why)s")


class InvoiceRulesError(WorkshopError):
    message = _("The e-invoice was not kept: %(why)s")


class ReceivedUnreadableError(WorkshopError):
    message = _("“%(name)s” cannot be read as an e-invoice: %(why)s")
