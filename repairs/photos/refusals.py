"""What is refused of photos on their way."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class PhotoRefusedError(WorkshopError):
    """A photo cannot be kept; ``why`` says how to send it again."""

    message = _("“%(name)s” was not kept: %(why)s")


class UploadGoneError(WorkshopError):
    """The pieces of a file are no longer there: nothing of it was kept."""

    message = _("“%(name)s” did not come to its end, and nothing of it was kept. Send it again.")


class NoRoomError(WorkshopError):
    """The disk is full: what was sent could not be written."""

    message = _(
        "The disk of the casebook is full, so “%(name)s” was not kept. Keep the photo, have room "
        "made on the disk, then send it again: it goes on where it stopped."
    )
    status = 507


class PictureMissingError(WorkshopError):
    """A photo that was ready, and whose smaller pictures are gone."""

    message = _(
        "The picture is missing from the store. Its original may still be there: the command "
        "verify_store --heal makes the smaller pictures anew."
    )
    status = 503
