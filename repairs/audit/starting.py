"""What is looked at when a server or a worker starts."""

from __future__ import annotations

import logging

from django.db import DatabaseError

from repairs.audit.anchors import as_mark, current_head
from repairs.audit.level import is_level
from repairs.audit.marks import catch_up

log = logging.getLogger(__name__)


def tell_if_behind() -> None:
    """Bring the marks up to the database, or say in the server's log that it is behind them."""
    try:
        level = is_level()
        if level:
            catch_up(as_mark(current_head()))
    except DatabaseError:  # a new house, whose tables are not there yet
        return
    if not level:
        log.error(
            "This database is older than what the workshop had issued: nothing is issued until a "
            "principal has read what is missing (/house/log/)."
        )
