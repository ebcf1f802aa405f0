"""What the press refuses to issue or to print."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class PreviewOutdatedError(WorkshopError):
    """What was previewed is not what the paper would say now."""

    message = _(
        "The case changed after this preview was made. Nothing was issued: make a new preview, "
        "look at it, then issue that one."
    )


class PaperNotPrintableError(WorkshopError):
    """A picture, a font or a style is missing; ``why`` names it."""

    message = _("The paper could not be made: %(why)s")
