"""The last answer to a fault, wherever it happened: a full disk and a database that is
away are said to be what they are."""

from __future__ import annotations

import sys

from django.http import HttpRequest, HttpResponse
from django.views.defaults import server_error as plain

from repairs.screens.send_again import database_away, disk_full
from repairs.storage.away import is_of_database_away
from repairs.storage.space import is_of_full_disk


def server_error(request: HttpRequest) -> HttpResponse:
    """``handler500``: faults of a body that is read, of the token's row, of the session too."""
    fault = sys.exc_info()[1]
    if is_of_full_disk(fault):
        return disk_full(request)
    return database_away(request) if is_of_database_away(fault) else plain(request)
