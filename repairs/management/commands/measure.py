"""Measure a room as ratios to the least that its work can cost."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from dataclasses import replace
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from repairs.measures.harness import QUICK, Figure, MeasureError, Plan
from repairs.measures.registry import ROOMS

UNJUDGED: dict[str, Any] = {"judged": False, "note": "quick: not judged"}
VERDICTS = {True: "met", False: "MISSED", None: ""}


class Command(BaseCommand):
    """Measure something and hold it against its goal."""

    help = f"Measures one of: {', '.join(ROOMS)}. A missed goal is shown; --strict fails on it."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """What, how large, and whether a missed goal fails."""
        parser.add_argument("what", help=f"what to measure: {', '.join(ROOMS)}")
        parser.add_argument("room", nargs="?", default="", help="of mutants: only this group")
        parser.add_argument("--seed", type=int, default=1, help="of mutants: which are drawn")
        parser.add_argument("--count", type=int, help="of mutants: how many")
        parser.add_argument("--json", action="store_true", help="print one JSON object")
        parser.add_argument("--strict", action="store_true", help="fail when a goal is missed")
        parser.add_argument(
            "--quick", action="store_true", help="tiny pictures, one round: only shows that it runs"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Measure, print, and write the figures where asked."""
        measure = ROOMS.get(options["what"])
        if measure is None:
            raise CommandError(
                f"Nothing here is called “{options['what']}”. Measure one of: {', '.join(ROOMS)}."
            )
        try:
            figures = measure(_plan(options), self._say)
        except MeasureError as trouble:
            raise CommandError(str(trouble)) from trouble
        if options["quick"]:
            figures = {name: replace(one, **UNJUDGED) for name, one in figures.items()}
        if options["json"]:
            said = {name: figure.plain() for name, figure in figures.items()}
            self.stdout.write(json.dumps(said, indent=1, ensure_ascii=False))
        else:
            self._table(figures)
        missed = [name for name, figure in figures.items() if figure.met is False]
        if options["strict"] and missed:
            raise CommandError(f"Goals missed: {', '.join(missed)}.")

    def _say(self, words: str) -> None:
        self.stderr.write(f"· {words}", ending="\n")
        sys.stderr.flush()

    def _table(self, figures: dict[str, Figure]) -> None:
        width = max(len(name) for name in figures)
        for name, figure in figures.items():
            goal = f"goal {figure.goal}" if figure.goal else ""
            last = "  ".join(word for word in (VERDICTS[figure.met], figure.note) if word)
            line = f"{name:<{width}} {figure.value:10.2f} {figure.unit:<18} {goal:<12} {last}"
            self.stdout.write(line.rstrip())
        judged = [figure for figure in figures.values() if figure.met is not None]
        met = sum(1 for figure in judged if figure.met)
        self.stdout.write(f"Done: {len(figures)} figures, {met} of {len(judged)} goals met.")


def _plan(options: dict[str, Any]) -> Plan:
    drawn = {name: options[name] for name in ("room", "seed", "count") if options[name]}
    return replace(QUICK if options["quick"] else Plan(), **drawn)
