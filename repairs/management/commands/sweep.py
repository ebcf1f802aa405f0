"""Sweep what kills and full disks left behind."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.keep.sweeping import leftovers, sweep


class Command(BaseCommand):
    """List the leftovers, or sweep them."""

    help = (
        "Sweeps leftovers older than a day that no row refers to: pieces of photos, halves of "
        "files, folders of work, previews, ended jobs and sessions. Files that bear their own hash "
        "are set aside for three months first. The server does it every night by itself."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Whether to list only."""
        parser.add_argument("--list", action="store_true", help="list them, and sweep nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        """One line for each, then how many."""
        now = timezone.now()
        found = list(leftovers(now)) if options["list"] else sweep(now)
        for leftover in found:
            self.stdout.write(f"{leftover.what}: {leftover.name}")
        said = {"n": len(found)}
        words = _("%(n)s leftovers; nothing was swept.") if options["list"] else _("%(n)s swept.")
        self.stdout.write(words % said)
