"""What cannot be issued, credited, deducted or dated, and how to mend it."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class DraftIncompleteError(WorkshopError):
    """Something stands in the way, each in a sentence."""

    message = _("This cannot be issued yet. %(why)s")


class DraftChangedError(WorkshopError):
    """It is no longer what was shown."""

    message = _(
        "The draft, the client or the workshop’s data changed after this was shown. Nothing was "
        "issued: read it again, then issue it."
    )


class DraftOverError(WorkshopError):
    """Issued, or thrown away."""

    message = _("This draft was issued or thrown away already, and can no longer be changed.")


class InvoiceKeptError(WorkshopError):
    """An issued invoice is never removed; another paper takes it back."""

    message = _("%(number)s was issued and is never deleted. Issue a credit note to take it back.")


class CurrencyNotOursError(WorkshopError):
    """A line in another currency than the house’s."""

    message = _(
        "This is in %(theirs)s, but the workshop invoices in %(ours)s. Give the price in %(ours)s."
    )


class SeriesBusyError(WorkshopError):
    """The lock of a series was not had in time."""

    message = _(
        "Another paper of the series %(prefix)s is being issued and does not come to its end. "
        "No number was used. Try again in a minute."
    )


class ClockSetBackError(WorkshopError):
    """Numbers would no longer follow the time of issue."""

    message = _(
        "The clock of this machine says %(now)s, but the last paper of this series was issued at "
        "%(last)s. Numbers must follow the time: set the clock right, then issue again."
    )


class NumberTakenError(WorkshopError):
    """Somebody else took the number."""

    message = _("Number %(number)s was used meanwhile. Nothing was issued: issue again.")


class YearClosedError(WorkshopError):
    """The books of that year take no more dates."""

    message = _(
        "The year %(year)s is closed: nothing can be issued, credited or paid with a date in it. "
        "Use a date of an open year."
    )


class CreditRefusedError(WorkshopError):
    """Another paper must be credited, or nothing is left."""

    message = _("%(number)s cannot be credited: %(why)s")


class CreditTooLargeError(WorkshopError):
    """More would be taken back under a tax than is left."""

    message = _(
        "Invoice %(number)s has %(left)s left to credit at %(rate)s %% VAT, but the credit note "
        "takes back %(wanted)s. Lower its quantities or prices."
    )


class CreditLineTooLargeError(CreditTooLargeError):
    """More would be taken back of a line than it billed."""

    message = _(
        "Of “%(what)s” invoice %(number)s billed %(quantity)s, of which %(left)s before tax is "
        "left to credit, but the credit note takes back %(wanted)s. Lower its quantity or price."
    )


class DepositUsedError(WorkshopError):
    """A deposit that is deducted, credited, or another’s."""

    message = _(
        "Deposit invoice %(number)s cannot be deducted: %(why)s Take its tick off the draft, under "
        "“deposits to deduct”."
    )
