"""Run the tests; manage.py has installed the test tools by now."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

# One process a core; tests that share something dear to set up go to the same one.
ALL_CORES = ("-n", "auto", "--dist", "loadgroup")
SUITES: tuple[list[str], ...] = ([], ["--quick"], ["--whole"])


class Command(BaseCommand):
    help = (
        "Runs the suite on all cores; with --quick the short list of the inner loop, with --whole "
        "also what the commit did not choose of the long sets. "
        "All other words go to pytest as they are."
    )

    def run_from_argv(self, argv: list[str]) -> None:
        """Django's own parser would take the words that begin with a dash for its own."""
        words = argv[2:]
        if words == ["--help"]:
            self.print_help(argv[0], argv[1])
        elif code := self.test(words):
            sys.exit(code)

    def handle(self, *words: str, **_options: Any) -> None:
        """For ``call_command``."""
        if code := self.test(list(words)):
            sys.exit(code)

    def test(self, words: list[str]) -> int:
        if words in SUITES:
            words = [*ALL_CORES, *words]
        environment = {**os.environ, "PYTHONPATH": str(settings.BASE_DIR)}
        command = [sys.executable, "-m", "pytest", *words]
        return subprocess.run(  # noqa: S603
            command, cwd=settings.BASE_DIR, env=environment, check=False
        ).returncode
