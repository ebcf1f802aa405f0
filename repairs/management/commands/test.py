"""Run the whole test suite; manage.py has installed the test tools by now."""

from __future__ import annotations

import os
import subprocess
import sys
from argparse import REMAINDER, ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand


class Command(BaseCommand):
    help = "Passes its words on to pytest; without any, everything is tested."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("words", nargs=REMAINDER, help="words for pytest")

    def handle(self, *args: Any, **options: Any) -> None:
        words = options["words"] or ["-n", "auto"]  # the whole suite: one process a core
        command = [sys.executable, "-m", "pytest", *words]
        environment = {**os.environ, "PYTHONPATH": str(settings.BASE_DIR)}
        done = subprocess.run(  # noqa: S603
            command, cwd=settings.BASE_DIR, env=environment, check=False
        )
        sys.exit(done.returncode)
