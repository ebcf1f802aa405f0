"""The search for causes on a JSON file or standard input, for scripts."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand
from django.utils import translation

from repairs.causes.file import answer_to
from repairs.gauges.base.errors import GaugeInputError

BAD_INPUT = 2


class Command(BaseCommand):
    """Look for the causes of one case, without the app."""

    help = "Prints causes in order and what to look at next; exits with 2 on bad input."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The case."""
        parser.add_argument("file", help="JSON file of one case; - is standard input")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the answer as JSON."""
        try:
            with translation.override("en"):
                answer = answer_to(self._read(options["file"]))
        except GaugeInputError as refusal:
            self._refuse(refusal.sentence())
        self.stdout.write(json.dumps(answer, ensure_ascii=False, allow_nan=False))

    def _read(self, file: str) -> dict[str, Any]:
        try:
            text = sys.stdin.read() if file == "-" else Path(file).read_text(encoding="utf-8")
            given = json.loads(text)
        except (OSError, ValueError, RecursionError) as fault:
            self._refuse(f"The input cannot be read: {fault}.")
        if not isinstance(given, dict):
            self._refuse("The input must be one JSON object: one case.")
        return given

    def _refuse(self, sentence: str) -> NoReturn:
        self.stderr.write(sentence)
        sys.exit(BAD_INPUT)
