"""Set everything up, run the whole main job on an invented scenario, and serve the app."""

from __future__ import annotations

import os
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from repairs.demo.scenario import Scenario, write_papers
from repairs.jobs.worker import Worker

PASSWORD = "roue-et-chien-1771"  # noqa: S105 - of a demo that listens on this machine only


class Command(BaseCommand):
    """Set up the invented workshop of the demo."""

    help = "Sets up the casebook with an invented scenario, writes its papers, serves the app."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where its papers go, and whether it is served."""
        parser.add_argument(
            "--papers",
            default=str(settings.DATA_DIR / "papers"),
            help="folder to write the issued papers to",
        )
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")
        parser.add_argument("--address", default="127.0.0.1:8000", help="address to serve at")

    def handle(self, *args: Any, **options: Any) -> None:
        """Migrate, tell the story, write its papers, serve."""
        call_command("migrate", verbosity=0)
        self._say("the database is ready")
        password = os.environ.get("SAUTEREAU_DEMO_PASSWORD", PASSWORD)
        cases = Scenario(password=password, say=self._say).play()
        Worker().run_all()  # what is still queued has been done already: the jobs find that
        folder = Path(options["papers"]).resolve()
        written = write_papers(cases, folder)
        if not written:
            raise CommandError("The scenario issued no paper; something is wrong with the data.")
        self.stdout.write(f"{len(written)} papers are in {folder}")
        if options["no_serve"]:
            self.stdout.write("Done: the demo is set up. Serve it with: python3 manage.py demo")
            return
        self._serve(options["address"], password)

    def _say(self, words: str) -> None:
        self.stdout.write(f"· {words}")
        self.stdout.flush()

    def _serve(self, address: str, password: str) -> None:
        self.stdout.write(f"Open http://{address}/ and sign in as helene with {password}")
        self.stdout.write("(also: armand, lise, odile, tom, same word). Stop with Ctrl+C.")
        self.stdout.flush()
        command = [
            sys.executable,
            "-m",
            "gunicorn",
            "--config",
            "python:workshop.serving",
            "workshop.wsgi",
            "--bind",
            address,
            "--log-level",
            "warning",
        ]
        os.chdir(settings.BASE_DIR)
        os.execv(sys.executable, command)  # noqa: S606 - our own words
