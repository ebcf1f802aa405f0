"""What a guided set-up refuses, in sentences."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class SetUpOverError(WorkshopError):
    """A mark for a set-up that was ended."""

    message = _("Set-up %(number)s has ended: begin another one to go on.")


class SetUpMovedOnError(WorkshopError):
    """Somebody else changed what the step rests on, after this page was shown."""

    message = _(
        "Meanwhile %(who)s changed something at “%(changed)s”. Look at “%(step)s” once more, then "
        "say so again."
    )
