"""invoices.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


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
