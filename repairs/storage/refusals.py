"""What is said instead of a kept file that is not what it was."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class FileLostError(WorkshopError):
    """A kept file is not in the store."""

    message = _(
        "This file cannot be shown: it is missing from the store of the workshop, and nothing is "
        "shown in its place. A backup can bring it back."
    )
    status = 503


class FileChangedError(FileLostError):
    """A kept file has other bytes than those of which the hash was written down."""

    message = _(
        "This file cannot be shown: it is no longer what it was when it was kept, by damage to the "
        "disk or by somebody’s hand. A backup can bring the true one back."
    )
