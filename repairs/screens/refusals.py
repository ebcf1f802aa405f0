"""What any form may answer when two people type at once."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class ChangedMeanwhileError(WorkshopError):
    """Someone else saved while this person was typing; nobody's words are lost."""

    message = _(
        "%(who)s saved this at %(when)s, while you were typing. Nothing of yours is lost: compare "
        "the two below, then save again to keep yours."
    )


class SentElsewhereError(Exception):
    """Another post of the same form did its deed first; what this one did is undone.

    No WorkshopError: no view may show it in its form, the middleware leads to where the first led.
    """
