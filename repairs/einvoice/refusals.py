"""einvoice.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


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
