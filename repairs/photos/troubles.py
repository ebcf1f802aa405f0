"""Why a photo could not be developed through no fault of its file."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.jobs.registry import name_troubles, trouble_words

LOST, CHANGED = "lost", "changed"

name_troubles(
    {
        "crashed": gettext_lazy(
            "The program that reads photos ended over it, three times. Try again; if it fails "
            "again, send the photo as JPEG too."
        ),
        "too_slow": gettext_lazy(
            "Reading it took too long, three times. Try again when the machine has less to do, or "
            "send it at a smaller size too."
        ),
        "memory": gettext_lazy(
            "Reading it took more memory than is allowed. Send it at a smaller size too."
        ),
        LOST: gettext_lazy(
            "Its original is missing from the store. Send the photo again, or fetch it from a "
            "backup."
        ),
        CHANGED: gettext_lazy(
            "Its original is no longer what was sent: the file was changed. Send the photo again, "
            "or fetch it from a backup."
        ),
    }
)


def said_of_failed(trouble: str) -> str:
    """What a photo that could not be developed says of itself, in the language of the reader."""
    why = trouble_words(trouble, "") or trouble_words("stumbled", "")
    return _("It is kept as it was sent, and could not be developed. %(why)s") % {"why": why}
