"""Run background jobs until stopped; more of these may run beside one another."""

from __future__ import annotations

import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from repairs.audit.starting import tell_if_behind
from repairs.jobs.worker import Worker
from repairs.keep.starting import live_in, refuse_half_a_house


class Command(BaseCommand):
    """Do the queued jobs in a process of its own."""

    help = "Runs queued jobs: checking photos, printing reports."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Whether to stop when the queue is empty."""
        parser.add_argument("--once", action="store_true", help="run what is queued, then stop")

    def handle(self, *args: Any, **options: Any) -> None:
        """Work until a signal asks to stop; the job in hand is finished first."""
        refuse_half_a_house()
        stop = threading.Event()
        worker = Worker(stop)
        if options["once"]:
            self.stdout.write(f"Done: {worker.run_all()} jobs were run.")
            return
        for name in (signal.SIGINT, signal.SIGTERM):
            signal.signal(name, lambda *_: stop.set())
        live_in(settings.DATA_DIR)
        tell_if_behind()
        self.stdout.write("Waiting for jobs; stop with Ctrl+C.")
        worker.run_forever()
        self.stdout.write("Done: the worker stopped after its last job.")
