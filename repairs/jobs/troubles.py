"""What may go wrong with a job through no fault of what it works on, and is therefore tried again.

The key is kept in the row, and the sentence is said in the language of whoever reads it.
"""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.jobs.registry import name_troubles
from repairs.storage.space import FULL

NO_ROOM, DISK, NEVER_ENDED, STUMBLED = "no_room", "disk", "never_ended", "stumbled"

name_troubles(
    {
        NO_ROOM: _("The disk was full. Make room on it, then try again."),
        DISK: _("The disk could not be read or written. Have it looked at, then try again."),
        NEVER_ENDED: _("It was started three times and never came to its end."),
        STUMBLED: _("It failed for a reason that the server’s log tells."),
    }
)


class TroubleError(Exception):
    """A job that cannot be done now; ``key`` says why, and it is worth another try."""

    def __init__(self, key: str) -> None:
        self.key = key
        super().__init__(key)


def trouble_of(fault: Exception) -> str:
    """The key of what went wrong, from what was raised."""
    if isinstance(fault, TroubleError):
        return fault.key
    if not isinstance(fault, OSError) or fault.errno is None:
        return STUMBLED
    return NO_ROOM if fault.errno in FULL else DISK
