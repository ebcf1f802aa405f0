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


class NotLookedAtError(WorkshopError):
    """The house came back from a backup, and the newest numbers may stand on papers only."""

    message = _(
        "Nothing was issued, and no number was used: the casebook came back from a backup, and "
        "nobody has said yet how far the numbers had come (%(what)s). Under “Workshop”, “The head "
        "of the log”, a principal types the highest number on the newest papers."
    )
    status = 503


class NumberUnreadableError(WorkshopError):
    """What was typed is no number of that line."""

    message = _("“%(typed)s” is no such number: type it as it stands on paper (%(example)s).")
    status = 400


class NumberTooLowError(WorkshopError):
    """Here a higher one is known already."""

    message = _(
        "“%(typed)s” is lower than the last number known here: type %(known)s, or a higher one "
        "that stands on a paper."
    )
    status = 400


class NoHeadError(WorkshopError):
    """What was typed cannot be a head of the log."""

    message = _(
        "“%(typed)s” is no head of the log: that is at least %(least)s of the digits 0 to 9 and "
        "letters a to f, as they stand at the foot of a paper."
    )
    status = 400
