"""In a process beside the tests: the house is laid, and processes are killed in it."""

from __future__ import annotations

import json
import sys
from random import Random

from django.conf import settings

from repairs.measures.killed.house import lay
from repairs.measures.killed.kinds import kill
from tests.beside import ready


def kill_some(kind: str, count: str, seed: str) -> None:
    """So many of one kind, told as one line."""
    ready()
    settings.SECRET_KEY = "of the tests, which sign nothing that lasts"
    tally = kill(kind, lay(), int(count), Random(seed))  # noqa: S311 - moments, no secrets
    sys.stdout.write(json.dumps({**tally.counts, "told": tally.told}) + "\n")
