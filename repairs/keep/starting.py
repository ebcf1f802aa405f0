"""No server, and no worker, starts on a house that is only half there."""

from __future__ import annotations

import fcntl
import os
import sys
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection

from repairs.keep.refusals import RestoreStoppedError
from repairs.keep.target import Target

HALF = 3  # gunicorn's “worker failed to boot”: it ends, and is not begun again and again


def refuse_half_a_house() -> None:
    """End this process with a sentence when a restore was stopped in the middle, or is under way.

    The exit is one that a server's manager takes as final (gunicorn does not start it again).
    """
    target = Target(Path(settings.DATA_DIR), connection.vendor == "postgresql")
    try:
        stopped = target.is_stopped()
    except DatabaseError:  # no database to be reached: each page says so
        return
    finally:
        if not connection.in_atomic_block:  # whoever holds it open goes on with it
            connection.close()
    if stopped:
        sys.stderr.write(f"sautereau: {RestoreStoppedError(place=str(target.data))}\n")
        sys.exit(HALF)


def live_in(data: Path) -> None:
    """Hold the data folder as long as this process lives, beside others that do: no restore begins
    under a server. The system opens the lock of whoever is killed."""
    handle = os.open(data, os.O_RDONLY | os.O_DIRECTORY)
    fcntl.flock(handle, fcntl.LOCK_SH)
