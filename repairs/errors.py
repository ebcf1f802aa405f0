"""Every refusal the workshop can make to a person at the keyboard.

WorkshopError
├── NotAllowedHereError        the role of the person does not cover this deed
├── StepOrderError             a case cannot go from this step to that one
├── CaseEndedError             something new in a case whose instrument has gone
│   └── IntakeClosedError      the intake of such a case would be mended
├── CustodyError               the chain of who holds the instrument would break
├── ChangedMeanwhileError      someone else saved the same thing first
├── NothingExaminedError       a condition report with no part looked at
├── ReasonForNoPhotoError      a condition report without a photo and without a reason
├── PaperEmptyError            a paper that would say nothing yet
├── PreviewOutdatedError       the case changed after the preview that was to be issued
├── PaperNotPrintableError     the page maker could not make the PDF
├── PhotoRefusedError          a file that cannot be kept as a photo
├── EstimateIssuedError        an issued estimate never changes
├── EstimateIncompleteError    an option without a line, or nothing to offer
├── ConsentRefusedError        a decision that cannot be taken this way
├── LinkSpentError             a consent link that was used, has expired or is none
├── NotAgreedError             work, or a finding, to which nobody agreed
├── AsFoundMissingError        an original part is not on record as it was found
├── IrreversibleError          what cannot be undone needs a consent of its own
├── ClockError                 a clock that cannot start, stop or go on
├── WorkClosedError            signed-off work is not changed
├── FateRefusedError           a removed part that may not be thrown away
├── NotPutInError              ivory and the like, brought from elsewhere to be put in
├── NotProvedError             a sign-off while a proof is missing
├── HandBackError              the instrument cannot go home yet
├── NotEnoughWoodError         more is to be taken from a piece than is left of it
├── SmallerThanTakenError      a piece would be made smaller than what was taken from it
├── WoodBuiltInError           wood of a new part that stands is put back through its work
├── WoodOfEndedCaseError       wood taken for a case whose instrument has gone
├── PieceClosedError           a piece that is closed takes nothing back
├── ProofMissingError          protected wood for a case, and no paper shows where it comes from
├── MaterialNotSuppliedError   ivory and the like, which the house never puts into an instrument
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
└── NothingToBookError         an export of a period without any entry
"""

from __future__ import annotations

from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.text import decimal_words


class WorkshopError(Exception):
    """A rule of the workshop said no. ``message`` is written for the user, and translated."""

    message: str | Promise = _("This cannot be done.")
    status = 409

    def __init__(self, **details: object) -> None:
        self.details = details
        super().__init__(details)

    def __str__(self) -> str:
        return str(self.message) % {key: _said(value) for key, value in self.details.items()}


def _said(value: object) -> object:
    """A figure as the reader writes it, whoever refused; all else as it was handed over."""
    return decimal_words(value) if isinstance(value, Decimal) else value


class NotAllowedHereError(WorkshopError):
    message = _("Your role (%(role)s) does not cover this. Ask the principal of the workshop.")
    status = 403


class StepOrderError(WorkshopError):
    message = _(
        "Case %(number)s is at the step “%(present)s” and cannot go to “%(wanted)s” from there."
    )


class CaseEndedError(WorkshopError):
    message = _(
        "Case %(number)s ended on %(date)s: its findings, photos, readings and work are closed. "
        "For anything new, take the instrument in again as a new case. Papers, invoices and "
        "payments of this one stay open."
    )


class IntakeClosedError(CaseEndedError):
    message = _(
        "Case %(number)s ended on %(date)s: its intake stays as it was written. To correct "
        "it, take the instrument in again as a new case and write there what was wrong here. What "
        "is wrong about the owner or the instrument itself is mended on their own pages."
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


class PaperEmptyError(WorkshopError):
    message = _("For case %(number)s there is no %(paper)s to make yet: %(why)s")


class PreviewOutdatedError(WorkshopError):
    message = _(
        "The case changed after this preview was made. Nothing was issued: make a new preview, "
        "look at it, then issue that one."
    )


class PaperNotPrintableError(WorkshopError):
    message = _("The paper could not be made: %(why)s")


class PhotoRefusedError(WorkshopError):
    message = _("“%(name)s” was not kept: %(why)s")


class EstimateIssuedError(WorkshopError):
    message = _(
        "Version %(version)s of the estimate was issued and can no longer be changed. Make a new "
        "version: it starts as a copy."
    )


class EstimateIncompleteError(WorkshopError):
    message = _("The estimate cannot be issued: %(why)s")


class ConsentRefusedError(WorkshopError):
    message = _("This decision cannot be noted so: %(why)s")


class LinkSpentError(WorkshopError):
    message = _(
        "This link does not open anything: it was used, has expired or was never ours. Ask the "
        "workshop for a new one."
    )
    status = 410


class NotAgreedError(WorkshopError):
    message = _(
        "Nobody agreed to this yet: %(what)s. It is agreed to first: by the owner through a new "
        "estimate, by the principal for an instrument of the house."
    )


class AsFoundMissingError(WorkshopError):
    message = _(
        "Before the first change to “%(part)s” (%(originality)s), its state as found must be on "
        "record. Still missing: %(missing)s."
    )


class IrreversibleError(WorkshopError):
    message = _(
        "“%(work)s” cannot be undone, and “%(part)s” is %(originality)s: it needs a consent of "
        "its own, in which the owner agrees to just that."
    )


class ClockError(WorkshopError):
    message = _("The clock was not touched: %(why)s")


class WorkClosedError(WorkshopError):
    message = _(
        "Work %(number)s was signed off on %(day)s and is no longer changed. What is done now is "
        "another piece of work."
    )


class FateRefusedError(WorkshopError):
    message = _("“%(what)s” stays where it is: %(why)s")


class NotPutInError(WorkshopError):
    message = _(
        "The new part was not noted: the house neither supplies nor replaces %(material)s. Choose "
        "bone, horn or another material."
    )


class NotProvedError(WorkshopError):
    message = _("Work %(number)s cannot be signed off yet: %(missing)s.")


class HandBackError(WorkshopError):
    message = _("The instrument of case %(number)s cannot be handed back yet: %(why)s")


class NotEnoughWoodError(WorkshopError):
    message = _(
        "Of piece %(number)s %(left)s are left, and it measured %(sizes)s when it was whole; "
        "%(asked)s (%(asked_sizes)s) were asked for. Take less, or take it from another piece."
    )


class SmallerThanTakenError(WorkshopError):
    message = _(
        "%(gone)s were taken from piece %(number)s, the largest of it %(largest)s: it cannot be "
        "smaller than that. Check the sizes, or put back what was not taken."
    )


class WoodBuiltInError(WorkshopError):
    message = _(
        "This wood is not put back: it is built in as “%(part)s”, work %(work)s of case %(case)s. "
        "If that was noted by mistake, take the new part back on the page of the work, as long as "
        "the work is not signed off."
    )


class WoodOfEndedCaseError(WorkshopError):
    message = _(
        "Case %(number)s has ended and its instrument has gone: no wood is taken for it any more, "
        "and what was taken for it is not put back."
    )


class PieceClosedError(WorkshopError):
    message = _(
        "Piece %(number)s is closed and takes nothing back. Open it again first, or enter what "
        "comes back as an offcut of it."
    )


class ProofMissingError(WorkshopError):
    message = _(
        "Piece %(number)s (%(material)s) is of a protected material, and no proof of its "
        "acquisition is noted. Note which paper shows where it comes from, then take it."
    )


class MaterialNotSuppliedError(WorkshopError):
    message = _(
        "Nothing was taken from piece %(number)s: the house neither supplies nor replaces "
        "%(material)s. Choose bone, horn or another material, and record what is there."
    )


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


class CreditLineTooLargeError(CreditTooLargeError):
    message = _(
        "Of “%(what)s” invoice %(number)s billed %(quantity)s, of which %(left)s before tax is "
        "left to credit, but the credit note takes back %(wanted)s. Lower its quantity or price."
    )


class DepositUsedError(WorkshopError):
    message = _("Deposit invoice %(number)s cannot be deducted: %(why)s")


class PaymentRefusedError(WorkshopError):
    message = _("The payment was not noted: %(why)s")


class ReminderRefusedError(WorkshopError):
    message = _("No reminder was issued: %(why)s")


class NothingToBookError(WorkshopError):
    message = _("There is no entry between %(first)s and %(last)s, so there is nothing to export.")
