"""payments.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class PaymentRefusedError(WorkshopError):
    message = _("The payment was not noted: %(why)s")


class ReminderRefusedError(WorkshopError):
    message = _("No reminder was issued: %(why)s")
