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
├── InvoiceRulesError          an e-invoice that breaks a rule
│   └── RulesNotRunError       it could not be held against the rules, which is no pass
├── ReceivedUnreadableError    a received file that holds no e-invoice to read
├── DraftIncompleteError       a draft that lacks what the law wants on an invoice
├── DraftChangedError          the draft changed after what was shown to be issued
├── DraftOverError             a draft that was issued or thrown away already
├── InvoiceKeptError           an issued invoice that someone tries to delete
├── CurrencyNotOursError       an amount in another currency than the house's
├── SeriesBusyError            another invoice of the series is being issued for too long
├── ClockSetBackError          the clock says an earlier time than the last invoice
├── NumberTakenError           the proposed number was used meanwhile
├── YearClosedError            a date in a year of the books that is closed
├── YearNotOverError           a year that cannot be closed yet
├── CreditRefusedError         a credit note on what cannot be credited
├── CreditTooLargeError        more would be credited than was invoiced
├── DepositUsedError           a deposit that cannot be deducted (again)
├── PaymentRefusedError        a payment that cannot be as it was typed
├── ReminderRefusedError       a reminder that is not due
├── MailNotSetUpError          no mail server is set
└── NothingToBookError         an export of a period without any entry
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
    message = _("The e-invoice breaks rules, so nothing was issued: %(why)s")


class RulesNotRunError(InvoiceRulesError):
    message = _(
        "The e-invoice could not be held against the rules (%(why)s). That is no pass: nothing was "
        "issued. Try again in a minute."
    )


class ReceivedUnreadableError(WorkshopError):
    message = _("“%(name)s” cannot be read as an e-invoice: %(why)s")


class DraftIncompleteError(WorkshopError):
    message = _("This cannot be issued yet. %(why)s")


class DraftChangedError(WorkshopError):
    message = _(
        "The draft, the client or the workshop’s data changed after this was shown. Nothing was "
        "issued: read it again, then issue it."
    )


class DraftOverError(WorkshopError):
    message = _("This draft was issued or thrown away already, and can no longer be changed.")


class InvoiceKeptError(WorkshopError):
    message = _("%(number)s was issued and is never deleted. Issue a credit note to take it back.")


class CurrencyNotOursError(WorkshopError):
    message = _(
        "This is in %(theirs)s, but the workshop invoices in %(ours)s. Give the price in %(ours)s."
    )


class SeriesBusyError(WorkshopError):
    message = _(
        "Another paper of the series %(prefix)s is being issued and does not come to its end. "
        "No number was used. Try again in a minute."
    )


class ClockSetBackError(WorkshopError):
    message = _(
        "The clock of this machine says %(now)s, but the last paper of this series was issued at "
        "%(last)s. Numbers must follow the time: set the clock right, then issue again."
    )


class NumberTakenError(WorkshopError):
    message = _("Number %(number)s was used meanwhile. Nothing was issued: issue again.")


class YearClosedError(WorkshopError):
    message = _(
        "The year %(year)s is closed: nothing can be issued, credited or paid with a date in it. "
        "Use a date of an open year."
    )


class YearNotOverError(WorkshopError):
    message = _("The year %(year)s cannot be closed: %(why)s")


class CreditRefusedError(WorkshopError):
    message = _("%(number)s cannot be credited: %(why)s")


class CreditTooLargeError(WorkshopError):
    message = _(
        "Invoice %(number)s has %(left)s left to credit at %(rate)s %% VAT, but the credit note "
        "takes back %(wanted)s. Lower its quantities or prices."
    )


class DepositUsedError(WorkshopError):
    message = _("Deposit invoice %(number)s cannot be deducted: %(why)s")


class PaymentRefusedError(WorkshopError):
    message = _("The payment was not noted: %(why)s")


class ReminderRefusedError(WorkshopError):
    message = _("No reminder was issued: %(why)s")


class MailNotSetUpError(WorkshopError):
    message = _(
        "Nothing was sent: no mail server is set. Download the PDF and send it yourself, or have "
        "SAUTEREAU_MAIL_HOST and SAUTEREAU_MAIL_FROM set where the program is started."
    )


class NothingToBookError(WorkshopError):
    message = _("There is no entry between %(first)s and %(last)s, so there is nothing to export.")
