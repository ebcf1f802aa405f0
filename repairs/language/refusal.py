"""Every refusal the workshop can make to a person at the keyboard.

WorkshopError
├── NotAllowedHereError        the role of the person does not cover this deed
├── BehindMarksError           the database is older than what the house had issued
├── NotLookedAtError           … and came back from a backup: the newest papers were not looked at
├── NumberUnreadableError      what was typed is no number of that line
├── NumberTooLowError          … and lower than one that is known here
├── NoHeadError                what was typed cannot be a head of the log
├── HeadNotSentError           the daily message with the head of the log did not go
├── StepOrderError             a case cannot go from this step to that one
├── CaseEndedError             something new in a case whose instrument has gone
│   └── IntakeClosedError      the intake of such a case would be mended
├── CustodyError               the chain of who holds the instrument would break
├── ChangedMeanwhileError      someone else saved the same thing first
├── HazardNotStandingError     a hazard to be lifted that does not stand (any more)
├── NothingExaminedError       a condition report with no part looked at
├── MapDoesNotLieError         a map of parts that the tapped places of a photo do not fit
├── ReasonForNoPhotoError      a condition report without a photo and without a reason
├── PaperEmptyError            a paper that would say nothing yet
├── PreviewOutdatedError       the case changed after the preview that was to be issued
├── PaperUnreadableError       a PDF out of which no data of a paper can be read
│   ├── NotAPdfError           … since it is none
│   ├── PdfDamagedError        … since it was cut short
│   ├── PdfEncryptedError      … since it is locked
│   ├── NoDataInsideError      … since nothing of ours is enclosed
│   ├── DataDamagedError       … since what is enclosed is no JSON
│   ├── FormatUnknownError     … since a later release issued it
│   └── DataIncompleteError    … since not all of it is there
├── PaperNotPrintableError     the page maker could not make the PDF
├── PhotoRefusedError          a file that cannot be kept as a photo
├── EstimateIssuedError        an issued estimate never changes
├── EstimateIncompleteError    an option without a line, or nothing to offer
├── ConsentRefusedError        a decision that cannot be taken this way
├── LinkSpentError             a consent link that was used, has expired or is none
├── NotAgreedError             work, or a finding, to which nobody agreed
├── SetUpOverError             a mark for a set-up that has ended
├── SetUpMovedOnError          what a step of a set-up rests on was changed meanwhile
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

from repairs.language.text import decimal_words


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
