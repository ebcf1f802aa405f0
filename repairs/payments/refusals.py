"""What is refused of payments and reminders."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class PaymentRefusedError(WorkshopError):
    """A payment or a reversal that cannot be; nothing was noted."""

    message = _("The payment was not noted: %(why)s")


class ReminderRefusedError(WorkshopError):
    """No reminder may go out; nothing was issued."""

    message = _("No reminder was issued: %(why)s")
