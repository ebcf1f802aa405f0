"""What the e-invoices refuse."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class InvoiceFigureError(WorkshopError):
    """A figure that no invoice can have; ``where`` names the line or the discount."""

    message = _("%(where)s: %(why)s")


class InvoiceRulesError(WorkshopError):
    """The file breaks a published rule or one of ours; nothing was issued."""

    message = _(
        "The e-invoice breaks rules, so nothing was issued: %(why)s Correct the draft, the client "
        "or the workshop’s data, then try again."
    )


class RulesNotRunError(InvoiceRulesError):
    """The rules were not tried, which is never taken for a pass."""

    message = _(
        "The e-invoice could not be held against the rules (%(why)s). That is no pass: nothing was "
        "issued. Try again in a minute."
    )


class ReceivedUnreadableError(WorkshopError):
    """A file that somebody sent holds nothing that can be read as an invoice."""

    message = _(
        "“%(name)s” cannot be read as an e-invoice: %(why)s Ask whoever sent it for the file as "
        "their program made it."
    )
