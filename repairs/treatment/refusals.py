"""treatment.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class NotAgreedError(WorkshopError):
    message = _(
        "Nobody agreed to this yet: %(what)s. It is agreed to first: by the owner through a new "
        "estimate, by the principal for an instrument of the house."
    )


class AsFoundMissingError(WorkshopError):
    message = _(
        "Before the first change to “%(part)s” (%(originality)s), its state as found must be on "
        "record. Still missing: %(missing)s."
    )


class IrreversibleError(WorkshopError):
    message = _(
        "“%(work)s” cannot be undone, and “%(part)s” is %(originality)s: it needs a consent of "
        "its own, in which the owner agrees to just that."
    )


class ClockError(WorkshopError):
    message = _("The clock was not touched: %(why)s")


class WorkClosedError(WorkshopError):
    message = _(
        "Work %(number)s was signed off on %(day)s and is no longer changed. What is done now is "
        "another piece of work."
    )


class FateRefusedError(WorkshopError):
    message = _("“%(what)s” stays where it is: %(why)s")


class NotPutInError(WorkshopError):
    message = _(
        "The new part was not noted: the house neither supplies nor replaces %(material)s. Choose "
        "bone, horn or another material."
    )


class NotProvedError(WorkshopError):
    message = _("Work %(number)s cannot be signed off yet: %(missing)s.")
