"""What cannot be done with an offer, a decision or a link, and how to mend it."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class EstimateIssuedError(WorkshopError):
    """An issued version never changes."""

    message = _(
        "Version %(version)s of the estimate was issued and can no longer be changed. Make a new "
        "version: it starts as a copy."
    )


class EstimateIncompleteError(WorkshopError):
    """Something is missing before it can be issued."""

    message = _("The estimate cannot be issued: %(why)s")


class ConsentRefusedError(WorkshopError):
    """It is no decision of whom it must be, or not in the way that it must be."""

    message = _("This decision cannot be noted so: %(why)s")


class LinkSpentError(WorkshopError):
    """Used, expired, closed or never ours: one answer, so that guessing tells nothing (410)."""

    message = _(
        "This link does not open anything: it was used, has expired or was never ours. Ask the "
        "workshop for a new one."
    )
    status = 410
