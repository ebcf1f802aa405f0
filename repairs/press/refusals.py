"""press.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class PreviewOutdatedError(WorkshopError):
    message = _(
        "The case changed after this preview was made. Nothing was issued: make a new preview, "
        "look at it, then issue that one."
    )


class PaperNotPrintableError(WorkshopError):
    message = _("The paper could not be made: %(why)s")
