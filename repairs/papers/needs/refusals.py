"""Why a paper of a case cannot be made yet."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class ReasonForNoPhotoError(WorkshopError):
    """A condition report without any photo says why there is none."""

    message = _(
        "Case %(number)s has no photo. Add one, or state in “Looked over” why there is none."
    )


class PaperEmptyError(WorkshopError):
    """The paper would say nothing; ``why`` says what must be done first."""

    message = _("For case %(number)s there is no %(paper)s to make yet: %(why)s")
