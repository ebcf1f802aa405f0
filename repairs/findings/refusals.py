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


class MapDoesNotLieError(WorkshopError):
    """The places tapped on a photo do not fit the map: proposals from it would be guesses."""

    message = _(
        "The drawing does not lie on the photo by these places: %(why)s. Tap them again, or go on "
        "with the drawing beside the photo."
    )
