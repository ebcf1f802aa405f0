"""Any gauge on a JSON file or standard input, for scripts."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges

BAD_INPUT = 2
MOST_DIGITS = 30


def _whole(digits: str) -> int | float:
    """An integer; one of hundreds of digits becomes infinite, which every gauge refuses."""
    return int(digits) if len(digits) <= MOST_DIGITS else float(digits)


class Command(BaseCommand):
    """Run one gauge on a file, without the app."""

    help = "Prints one JSON object; exits with 2 and a sentence on bad input."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The gauge and its input."""
        parser.add_argument("name", nargs="?", help="name of the gauge")
        parser.add_argument("file", nargs="?", default="-", help="JSON file; - is standard input")
        parser.add_argument("--list", action="store_true", help="name the gauges and their inputs")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the output as JSON, or the list of gauges when none is named."""
        known = gauges()
        if options["list"] or not options["name"]:
            self._list()
            return
        gauge = known.get(options["name"])
        if gauge is None:
            self._refuse(f"No gauge is called {options['name']}. Known are: {', '.join(known)}.")
        try:
            answer = gauge.run(self._read(options["file"]))
        except GaugeInputError as refusal:
            self._refuse(refusal.sentence())
        self.stdout.write(json.dumps(answer, ensure_ascii=False, allow_nan=False))

    def _list(self) -> None:
        rows = {
            name: {"version": gauge.version, "says": gauge.says, "inputs": dict(gauge.inputs)}
            for name, gauge in gauges().items()
        }
        self.stdout.write(json.dumps(rows, ensure_ascii=False, indent=1))

    def _read(self, file: str) -> dict[str, Any]:
        try:
            text = sys.stdin.read() if file == "-" else Path(file).read_text(encoding="utf-8")
            given = json.loads(text, parse_int=_whole)
        except (OSError, ValueError, RecursionError) as fault:
            self._refuse(f"The input cannot be read: {fault}.")
        if not isinstance(given, dict):
            self._refuse("The input must be one JSON object.")
        return dict(given)

    def _refuse(self, sentence: str) -> NoReturn:
        self.stderr.write(sentence)
        sys.exit(BAD_INPUT)
