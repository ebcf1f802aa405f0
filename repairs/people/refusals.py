"""What a person may not do here, and whom to ask."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class HeadNotSentError(WorkshopError):
    """The daily message with the head of the log did not go."""

    message = _("The head of the log was not sent: %(why)s")


class NotAllowedHereError(WorkshopError):
    """The role does not cover the deed: 403."""

    message = _("Your role (%(role)s) does not cover this. Ask the principal of the workshop.")
    status = 403
