"""A backup into an empty house."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import connection
from django.utils.translation import gettext as _

from repairs.keep.bundle import Bundle, is_locked, open_bundle
from repairs.keep.refusals import KeepError
from repairs.keep.restoring import Restored, restore
from repairs.keep.secrets import read_secret, typed_secret
from repairs.keep.target import Target

FOUND, UNUSABLE = 1, 2


class Command(BaseCommand):
    """Put a whole backup into an empty data folder and an empty database."""

    help = (
        "Restores a backup into an empty SAUTEREAU_DATA and an empty database: all of it, proved, "
        "or nothing. Exits with 1 when the backup is damaged or there is a house already, with 2 "
        "and a sentence for a folder or key that cannot be used."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Which one, and what opens it."""
        parser.add_argument("bundle", metavar="BUNDLE", help="the dated folder of the backup")
        parser.add_argument(
            "--passphrase-file", metavar="FILE", help="passphrase or key that opens it"
        )
        parser.add_argument("--json", action="store_true", help="tell it as one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        """Restore, and tell what came back."""
        target = Target(Path(settings.DATA_DIR), connection.vendor == "postgresql")
        try:
            with target.alone():
                target.check_empty()  # before anybody types a key
                restored = restore(_opened(options), target)
        except KeepError as refusal:
            self.stderr.write(str(refusal))
            sys.exit(UNUSABLE if refusal.is_input else FOUND)
        if options["json"]:
            self.stdout.write(json.dumps(restored.__dict__))
            return
        self._tell(restored)

    def _tell(self, restored: Restored) -> None:
        """What came back, and what nobody here can know."""
        words = _(
            "Done: %(rows)s rows of %(tables)s tables and %(files)s files are back; passed: "
            "%(proofs)s."
        )
        self.stdout.write(
            words
            % {
                "rows": restored.rows_n,
                "tables": restored.tables_n,
                "files": restored.files_n,
                "proofs": ", ".join(restored.proved),
            }
        )
        self.stdout.write(
            _(
                "Whatever was done after this backup is not in it. Before the next numbers are "
                "given, a principal says in the casebook (Workshop, The head of the log) how far "
                "they had come on the newest papers: none may be given out twice."
            )
        )


def _opened(options: dict[str, Any]) -> Bundle:
    """The bundle, with what opens it. Raises KeepError."""
    entry = Path(options["bundle"]).expanduser().resolve()
    file = options["passphrase_file"]
    secret = read_secret(file) if file else ""
    if not secret and is_locked(entry):
        secret = typed_secret()
    return open_bundle(entry, secret)
