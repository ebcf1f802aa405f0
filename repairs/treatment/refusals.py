"""Why the bench refuses: what was not agreed, not on record, not proved, or is over."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class NotAgreedError(WorkshopError):
    """Work, or a finding, to which nobody who may do so agreed."""

    message = _(
        "Nobody agreed to this yet: %(what)s. It is agreed to first: by the owner through a new "
        "estimate, by the principal for an instrument of the house."
    )


class AsFoundMissingError(WorkshopError):
    """An old part would be changed whose state nobody recorded; afterwards nobody can."""

    message = _(
        "Before the first change to “%(part)s” (%(originality)s), its state as found must be on "
        "record. Still missing: %(missing)s."
    )


class IrreversibleError(WorkshopError):
    """What cannot be undone was agreed to only in general, not as such."""

    message = _(
        "“%(work)s” cannot be undone, and “%(part)s” is %(originality)s: it needs a consent of "
        "its own, in which the owner agrees to just that."
    )


class ClockError(WorkshopError):
    """A clock that cannot start, stop or go on; ``why`` is the rest of the sentence."""

    message = _("The clock was not touched: %(why)s")


class WorkClosedError(WorkshopError):
    """Signed-off work would be changed: what was signed for must stay what it was."""

    message = _(
        "Work %(number)s was signed off on %(day)s and is no longer changed. What is done now is "
        "another piece of work."
    )


class FateRefusedError(WorkshopError):
    """A removed piece would be thrown away, or a paper contradicted, without leave."""

    message = _("“%(what)s” stays where it is: %(why)s")


class NotPutInError(WorkshopError):
    """Ivory and the like, brought from elsewhere to be put in."""

    message = _(
        "The new part was not noted: the house neither supplies nor replaces %(material)s. Choose "
        "bone, horn or another material."
    )


class NotProvedError(WorkshopError):
    """A sign-off while a reading is missing or a reason is not stated."""

    message = _("Work %(number)s cannot be signed off yet: %(missing)s.")
