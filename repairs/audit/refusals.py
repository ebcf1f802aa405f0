"""Why nothing is issued for now, and why a head of the log cannot be looked for."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class BehindMarksError(WorkshopError):
    """The database knows less than what lay beside the files when it was last written."""

    message = _(
        "Nothing was issued, and no number was used: this database is older than what the "
        "workshop had issued already. Under “Workshop”, “The head of the log”, a principal reads "
        "what is missing and decides how to go on."
    )
    status = 503


class NoHeadError(WorkshopError):
    """What was typed cannot be a head of the log."""

    message = _(
        "“%(typed)s” is no head of the log: that is at least %(least)s of the digits 0 to 9 and "
        "letters a to f, as they stand at the foot of a paper."
    )
    status = 400
