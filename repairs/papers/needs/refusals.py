"""papers.needs.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class ReasonForNoPhotoError(WorkshopError):
    message = _(
        "Case %(number)s has no photo. Add one, or state in “Looked over” why there is none."
    )


class PaperEmptyError(WorkshopError):
    message = _("For case %(number)s there is no %(paper)s to make yet: %(why)s")
