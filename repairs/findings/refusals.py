"""What cannot be said of a case that nobody looked at."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class NothingExaminedError(WorkshopError):
    """No part was looked at: a report would claim what nobody saw."""

    message = _(
        "No part of the instrument of case %(number)s has been looked at yet, so there is nothing "
        "to report. Record at least one part as looked at, or one finding."
    )
