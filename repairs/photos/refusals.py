"""photos.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class PhotoRefusedError(WorkshopError):
    """A photo cannot be kept; ``why`` says how to send it again."""

    message = _("“%(name)s” was not kept: %(why)s")
