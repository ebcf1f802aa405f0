"""estimates.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


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
