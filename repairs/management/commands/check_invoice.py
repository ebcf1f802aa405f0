"""Hold a received e-invoice (CII, UBL, or a PDF with one inside) against the official rules."""

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

from repairs.einvoice.check.received import check_received
from repairs.language.refusal import WorkshopError

FAILED, UNREADABLE = 1, 2
WHY: dict[type[OSError], str | Promise] = {
    FileNotFoundError: gettext_lazy("there is no such file."),
    NotADirectoryError: gettext_lazy("there is no such file."),
    IsADirectoryError: gettext_lazy("it is a folder."),
    PermissionError: gettext_lazy("this user may not open it."),
}


class Command(BaseCommand):
    """Check an e-invoice that was received, against its totals and the rules."""

    help = (
        "Prints one JSON object: the five totals as stated and as recomputed, and the rules that "
        "fired. Exits with 1 when one is fatal, with 2 and a sentence when it cannot be checked."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The file to check."""
        parser.add_argument("file", help="an XML file in CII or UBL, or a PDF with one inside")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what was found; the exit code says the same to a script."""
        path = Path(options["file"])
        try:
            checked = check_received(path.read_bytes(), path.name)
        except OSError as fault:
            why = WHY.get(type(fault), _("the system does not hand it out."))
            self._refuse(_("“%(file)s” cannot be read: %(why)s") % {"file": path, "why": why})
        except WorkshopError as refusal:
            self._refuse(str(refusal))
        self.stdout.write(json.dumps(checked.data(), ensure_ascii=False, indent=1))
        if not checked.passed:
            sys.exit(FAILED)

    def _refuse(self, sentence: str) -> NoReturn:
        self.stderr.write(sentence)
        sys.exit(UNREADABLE)
