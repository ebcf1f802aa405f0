"""The last answer to a fault, wherever it happened: a full disk is said to be one."""

from __future__ import annotations

import sys

from django.http import HttpRequest, HttpResponse
from django.views.defaults import server_error as plain

from repairs.screens.send_again import disk_full
from repairs.storage.space import is_of_full_disk


def server_error(request: HttpRequest) -> HttpResponse:
    """``handler500``: faults of a body that is read, of the token's row, of the session too."""
    return disk_full(request) if is_of_full_disk(sys.exc_info()[1]) else plain(request)
