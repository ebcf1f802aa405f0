"""findings.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class NothingExaminedError(WorkshopError):
    message = _(
        "No part of the instrument of case %(number)s has been looked at yet, so there is nothing "
        "to report. Record at least one part as looked at, or one finding."
    )
