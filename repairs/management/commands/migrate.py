"""Django's own command, one at a time: a second process waits and then finds nothing to do."""

from __future__ import annotations

import fcntl
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.commands import migrate
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.utils.translation import gettext as _

KEY = 0x5A07_E4EA  # of the advisory lock; any number that nobody else in this database takes


class Command(migrate.Command):
    """Two that migrate one database at once would each make the same tables: one of them failed."""

    def handle(self, *args: Any, **options: Any) -> None:
        """Migrate once nobody else does."""
        with alone(connections[options["database"]], self._say_waiting):
            super().handle(*args, **options)

    def _say_waiting(self) -> None:
        self.stderr.write(_("Another process is migrating this database: waiting for it to end."))


@contextmanager
def alone(connection: BaseDatabaseWrapper, say_waiting: Callable[[], None]) -> Iterator[None]:
    """Hold the lock; the system opens that of a process that was killed."""
    if connection.vendor == "postgresql":
        with _advisory(connection, say_waiting):
            yield
        return
    folder = Path(settings.DATA_DIR) / "locks"
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "migrate").open("a") as handle:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say_waiting()
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield


@contextmanager
def _advisory(connection: BaseDatabaseWrapper, say_waiting: Callable[[], None]) -> Iterator[None]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_lock(%s)", [KEY])
        if cursor.fetchone() != (True,):
            say_waiting()
            cursor.execute("SELECT pg_advisory_lock(%s)", [KEY])
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_unlock(%s)", [KEY])
