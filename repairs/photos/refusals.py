"""photos.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class PhotoRefusedError(WorkshopError):
    message = _("“%(name)s” was not kept: %(why)s")
