"""What cannot be done to a case, and what to do instead."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class StepOrderError(WorkshopError):
    """A step was skipped or taken back."""

    message = _(
        "Case %(number)s is at the step “%(present)s” and cannot go to “%(wanted)s” from there."
    )


class CaseEndedError(WorkshopError):
    """Something new was noted about an instrument that has left."""

    message = _(
        "Case %(number)s ended on %(date)s: its findings, photos, readings and work are closed. "
        "For anything new, take the instrument in again as a new case. Papers, invoices and "
        "payments of this one stay open."
    )


class IntakeClosedError(CaseEndedError):
    """The intake of an ended case was to be rewritten."""

    message = _(
        "Case %(number)s ended on %(date)s: its intake stays as it was written. To correct "
        "it, take the instrument in again as a new case and write there what was wrong here. What "
        "is wrong about the owner or the instrument itself is mended on their own pages."
    )


class CustodyError(WorkshopError):
    """What is not in the house cannot be put in another place of it."""

    message = _(
        "The instrument of case %(number)s is not in the workshop any more, so it cannot be "
        "moved inside it. Record its return to the workshop first."
    )


class HandBackError(WorkshopError):
    """Something is still open, or a paper is missing, before it may leave."""

    message = _("The instrument of case %(number)s cannot be handed back yet: %(why)s")
