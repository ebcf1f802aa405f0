"""The recovery sheet as PDF, from the command line."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.keep.sheet import recovery_sheet
from repairs.language.text import LANGUAGES

UNUSABLE = 2


class Command(BaseCommand):
    """One page: where the backups lie, what opens them, how the casebook comes back."""

    help = (
        "Writes the recovery sheet as PDF. With --new-key it bears a new key that nothing else "
        "keeps; the public half is printed last, for --recipient. Exits with 2 and a sentence when "
        "the file cannot be written."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to, in which language, with a key or lines to write on."""
        parser.add_argument("file", metavar="FILE.pdf")
        parser.add_argument("--language", choices=LANGUAGES, default=LANGUAGES[0])
        parser.add_argument("--new-key", action="store_true", help="make a key, print it on it")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print it into the file, which only its owner may read."""
        path = Path(options["file"]).expanduser()
        try:
            # Opened first: a key that was printed nowhere is lost.
            with path.open("xb") as file:
                path.chmod(0o600)
                printed = recovery_sheet(
                    language=options["language"],
                    with_key=options["new_key"],
                    at=timezone.now(),
                    by=None,
                )
                file.write(printed.pdf)
        except FileExistsError:
            self._refuse(_("“%(file)s” is there already: name another file.") % {"file": path})
        except OSError as fault:
            place = {"file": path, "why": fault.strerror}
            self._refuse(_("“%(file)s” cannot be written: %(why)s") % place)
        self.stdout.write(_("Done: %(file)s. Print it, then remove the file.") % {"file": path})
        if printed.public:
            self.stdout.write(printed.public)

    def _refuse(self, sentence: str) -> None:
        self.stderr.write(sentence)
        sys.exit(UNUSABLE)
