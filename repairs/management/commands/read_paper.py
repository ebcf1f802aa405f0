"""Read the data that a report carries, and compute every figure of it anew."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.language.refusal import WorkshopError
from repairs.papers.carried.schema import schema_text
from repairs.papers.carried.told import told_of

FOUND, UNREADABLE = 1, 2
WHY: dict[type[OSError], str | Promise] = {
    FileNotFoundError: gettext_lazy("there is no such file."),
    NotADirectoryError: gettext_lazy("there is no such file."),
    IsADirectoryError: gettext_lazy("it is a folder."),
    PermissionError: gettext_lazy("this user may not open it."),
}


class Command(BaseCommand):
    """Read a report that carries its data; no database is asked."""

    help = (
        "Prints one JSON object: what the paper carries, and each figure as stated and as computed "
        "here, agree or differ. Exits with 1 when one differs or could not be computed anew, with "
        "2 and a sentence when the file cannot be read."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The paper, or a word to see the schema of what it carries."""
        parser.add_argument("file", nargs="?", help="a condition or treatment report, as a PDF")
        parser.add_argument("--schema", action="store_true", help="print the JSON Schema instead")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what was found; the exit code says the same to a script."""
        if options["schema"]:
            self.stdout.write(schema_text())
            return
        if not options["file"]:
            self._refuse(_("Name the PDF of a report."))
        path = Path(options["file"])
        try:
            told = told_of(path.read_bytes(), path.name)
        except OSError as fault:
            why = WHY.get(type(fault), _("the system does not hand it out."))
            self._refuse(_("“%(file)s” cannot be read: %(why)s") % {"file": path, "why": why})
        except WorkshopError as refusal:
            self._refuse(str(refusal))
        self.stdout.write(json.dumps(told.data(), ensure_ascii=False, indent=1))
        for sentence in told.sentences:
            self.stderr.write(sentence)
        if not told.is_good:
            sys.exit(FOUND)

    def _refuse(self, sentence: str) -> NoReturn:
        self.stderr.write(sentence)
        sys.exit(UNREADABLE)
