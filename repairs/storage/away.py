"""Whether a fault came of a database that cannot be reached, or that somebody else holds."""

from __future__ import annotations

from django.db import InterfaceError, OperationalError

from repairs.storage.space import causes, is_of_full_disk

# Of SQLite also a file that is held (“database is locked”); of PostgreSQL a server that went, that
# comes up, or that takes nobody more. The same class is used for our own slips on SQLite.
SLIPS = ("no such table", "no such column", "syntax error", "already exists", "no such function")


def is_of_database_away(fault: BaseException | None) -> bool:
    """Whether that stands anywhere among the causes; a full disk is another matter."""
    return not is_of_full_disk(fault) and any(_says_away(one) for one in causes(fault))


def _says_away(fault: BaseException) -> bool:
    if not isinstance(fault, OperationalError | InterfaceError):
        return False
    return not any(slip in str(fault).lower() for slip in SLIPS)
