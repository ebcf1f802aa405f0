"""The loop that runs queued jobs, in a thread of the server or in the ``work`` command."""

from __future__ import annotations

import logging
import os
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DatabaseError, close_old_connections, connection
from django.utils import timezone, translation

from repairs.jobs import actions
from repairs.jobs.chores import queue_due
from repairs.jobs.models import Job
from repairs.jobs.registry import function_of
from repairs.jobs.troubles import trouble_of
from repairs.language.refusal import WorkshopError

log = logging.getLogger(__name__)
PAUSE_S = 0.5
# A third of the lease and less: see ``_renew``.
RENEW_S = 8.0
LOOK_S = 300.0


class Worker:
    """Runs one job after another until told to stop."""

    def __init__(self, stop: threading.Event | None = None) -> None:
        self.stop = stop or threading.Event()
        self.looks_next = 0.0
        self.name = f"{socket.gethostname()}:{os.getpid()}:{threading.get_ident()}"

    def run_forever(self) -> None:
        """Work until told to stop; a fault of the database is waited out."""
        while not self.stop.is_set():
            # A worker lives for weeks: the server of the database may have been started anew
            # meanwhile.
            close_old_connections()
            try:
                self._look_at_the_clock()
                if not self.run_one():
                    self.stop.wait(PAUSE_S)
            except Exception:
                # The database may be away for a moment; the queue is still there afterwards.
                log.exception("the worker could not take a job")
                self.stop.wait(5.0)
        connection.close()

    def _look_at_the_clock(self) -> None:
        """Every few minutes, whether something is due that the house does once a day."""
        if time.monotonic() >= self.looks_next:
            self.looks_next = time.monotonic() + LOOK_S
            queue_due(timezone.now())

    def run_all(self) -> int:
        """Run what is in the queue now and return how many jobs that was."""
        count = 0
        while self.run_one():
            count += 1
        return count

    def run_one(self) -> bool:
        """Do one job if there is one; says whether there was."""
        row = actions.claim_next(self.name)
        if row is None:
            return False
        with self._lease_kept(row):
            self._run(row)
        return True

    def _run(self, row: Job) -> None:
        try:
            with translation.override(row.language):
                result = function_of(row)(
                    **row.arguments,
                    progress=lambda done, total: actions.tell_progress(row, done, total),
                )
        # A refusal is an answer and not a fault: to try again would give the same sentence.
        except WorkshopError as refusal:
            with translation.override(row.language):
                actions.fail(row, self.name, str(refusal), again=False)
        except Exception as fault:
            # The traceback is for the log; the page of a failed job says where to look.
            log.exception("job %s %s failed", row.name, row.pk)
            actions.fail(row, self.name, "", again=True, trouble=trouble_of(fault))
        else:
            actions.finish(row, self.name, result)

    @contextmanager
    def _lease_kept(self, row: Job) -> Iterator[None]:
        over = threading.Event()

        def keep() -> None:
            """Renew the lease until the job is over, on a connection of its own."""
            while not over.wait(RENEW_S):
                self._renew(row)
            connection.close()

        # A thread, since the job itself is deep in a library for seconds and cannot stop to renew.
        keeper = threading.Thread(target=keep, name="lease", daemon=True)
        keeper.start()
        try:
            yield
        finally:
            over.set()
            keeper.join()

    def _renew(self, row: Job) -> None:
        """Prolong the lease; a database that cannot just now is asked again at the next turn.

        The lease is longer than three turns, so that a moment of “database is locked” or a server
        that starts anew costs nothing; a keeper that gave up would let another worker run the job
        beside this one.
        """
        try:
            actions.renew(row, self.name)
        except DatabaseError:
            log.warning("the lease of job %s %s was not renewed", row.name, row.pk, exc_info=True)
            connection.close()  # a broken one would fail for ever


_started = threading.Lock()


def start_in_this_process() -> threading.Thread | None:
    """Start the one worker thread of this process; a second call does nothing."""
    # Never released: one worker a process is enough, and a server may build its application twice.
    if not _started.acquire(blocking=False):
        return None
    thread = threading.Thread(target=Worker().run_forever, name="jobs", daemon=True)
    thread.start()
    return thread
