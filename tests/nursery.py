"""What the processes beside the tests are forked from: Django is set up, no database is open.

Only the server of processes and they themselves import this (``tests/beside.py``).
"""

from __future__ import annotations

import importlib
import os
from typing import Any

import django
from django.conf import settings
from django.db import connection, connections
from django.urls import get_resolver
from django.utils.functional import empty

from tests.beside import PATIENCE_S
from workshop import places
from workshop.prepare import prepare

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
prepare()
django.setup()
for module in ("tests.factories", "weasyprint", "saxonche"):
    importlib.import_module(module)
_ = get_resolver().url_patterns  # with them all rooms are imported


def move_in() -> None:
    """Read the settings again, as the environment has another database and folder by now."""
    importlib.reload(places)
    importlib.reload(importlib.import_module(settings.SETTINGS_MODULE))
    settings._wrapped = empty
    handler: Any = connections  # its types know nothing of what it keeps to itself
    handler.__dict__.pop("settings", None)
    handler._settings = None
    for alias in handler:
        if hasattr(handler._connections, alias):
            del handler[alias]
    prepare()
    if connection.vendor == "sqlite":
        # It serves who asks next, not who asked first: one of many may wait for long.
        connection.settings_dict["OPTIONS"]["timeout"] = PATIENCE_S
