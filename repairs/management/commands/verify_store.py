"""Read the files of the house back against their hashes and the database."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.keep.sources import Source, folder_source
from repairs.keep.store_models import FileCheck
from repairs.keep.verifying import Report, verify

FOUND, UNUSABLE = 1, 2
MOST_TOLD = 40
Found = FileCheck.Found


class Command(BaseCommand):
    """Verify the store, whole or the share that was read longest ago; heal when asked to."""

    help = (
        "Reads originals, smaller pictures, papers, proofs and invoices back against their hashes "
        "and the database. Reads only, unless --heal is given: then smaller pictures are made anew "
        "from good originals, and other files come from what was set aside or from the folder of "
        "--from. Exits with 1 when something is missing, changed or known to nobody (after "
        "healing: still), with 2 and a sentence when it was asked for something that cannot be."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """How much, and whether to mend."""
        much = parser.add_mutually_exclusive_group()
        much.add_argument("--all", action="store_true", help="every file (so it is without words)")
        much.add_argument("--share", metavar="PCT", help="so many per cent, longest unread first")
        parser.add_argument("--heal", action="store_true", help="mend what can be mended")
        parser.add_argument("--from", dest="bundle", metavar="BUNDLE", help="a backup's folder")
        parser.add_argument("--json", action="store_true", help="tell it as one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        """Walk, tell, and exit with what was found."""
        source = self._source(options)
        share = self._share(options["share"])
        report = verify(share_pct=share, heal=options["heal"], source=source, at=timezone.now())
        if options["json"]:
            self.stdout.write(json.dumps(_facts(report), ensure_ascii=False))
        else:
            self._tell(report)
        if report.found:
            sys.exit(FOUND)

    def _share(self, words: str | None) -> int:
        if words is None:
            return 100
        if not words.isdecimal() or not 1 <= int(words) <= 100:
            said = {"words": words}
            self._refuse(_("--share wants whole per cent from 1 to 100, not “%(words)s”.") % said)
        return int(words)

    def _source(self, options: dict[str, Any]) -> Source | None:
        if options["bundle"] is None:
            return None
        if not options["heal"]:
            self._refuse(_("--from is of use only with --heal: without it nothing is written."))
        folder = Path(options["bundle"])
        if not folder.is_dir():
            said = {"folder": folder}
            self._refuse(
                _("“%(folder)s” is no folder. Give the folder of an opened backup.") % said
            )
        return folder_source(folder)

    def _refuse(self, sentence: str) -> NoReturn:
        self.stderr.write(sentence)
        sys.exit(UNUSABLE)

    def _tell(self, report: Report) -> None:
        for found in Found:
            for name in report.of(found)[:MOST_TOLD]:
                self.stderr.write(f"{found.label}: {name}")
        if report.proved:
            said = {"n": len(report.proved)}
            self.stdout.write(
                _(
                    "%(n)s smaller pictures of a former release had no hash: made again from their "
                    "originals, they are the same, and their hash was written down."
                )
                % said
            )
        if report.healed:
            self.stdout.write(_("%(n)s files were mended.") % {"n": len(report.healed)})
        said = {"read": report.read_n, "known": report.known_n, "odd": len(report.found)}
        if report.found:
            self.stderr.write(
                _("%(odd)s files are not as they should be; %(read)s of %(known)s were read.")
                % said
            )
        else:
            self.stdout.write(
                _("Done: all is as it was kept; %(read)s of %(known)s files were read.") % said
            )


def _facts(report: Report) -> dict[str, Any]:
    return {
        "share_pct": report.share_pct,
        "known_n": report.known_n,
        "read_n": report.read_n,
        "read_bytes": report.read_bytes,
        **{found.value: report.of(found) for found in Found},
        "hashes_adopted_n": len(report.proved),
        "healed": sorted(report.healed),
    }
