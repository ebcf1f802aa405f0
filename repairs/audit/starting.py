"""What is looked at when a server or a worker starts."""

from __future__ import annotations

import logging

from django.db import DatabaseError

from repairs.audit.level import is_level

log = logging.getLogger(__name__)


def tell_if_behind() -> None:
    """Say in the server's log that the database is older than what lies beside the files."""
    try:
        level = is_level()
    except DatabaseError:  # a new house, whose tables are not there yet
        return
    if not level:
        log.error(
            "This database is older than what the workshop had issued: nothing is issued until a "
            "principal has read what is missing (/house/log/)."
        )
