"""To the next release: backup, migrate, check; and back by itself."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import connection
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.keep.actions import back_up
from repairs.keep.bundle import is_locked
from repairs.keep.due import wanted_from_settings
from repairs.keep.refusals import KeepError
from repairs.keep.secrets import read_secret, typed_secret
from repairs.keep.updating import Release, update

FOUND, UNUSABLE = 1, 2


class Command(BaseCommand):
    """Stop the server first; start it from the new folder when this says so."""

    help = (
        "Run from the present release, with the server stopped: makes a backup into --to, "
        "migrates and checks with the release in FOLDER, and puts the rows back as they were when "
        "any of it fails. Exits with 1 when it went back, with 2 for a folder that is no release."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where the next release lies, and where the backup goes."""
        parser.add_argument("folder", metavar="FOLDER", help="the unpacked next release")
        parser.add_argument("--to", metavar="DIR", default=settings.BACKUP_TO, help="the backup")
        parser.add_argument(
            "--passphrase-file", metavar="FILE", help="opens an encrypted backup (on PostgreSQL)"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it, and say from where to start the server."""
        release = Release(Path(options["folder"]).expanduser().resolve())
        try:
            release.check()
            if not options["to"]:
                self._refuse(_("Name the folder: --to DIR, or SAUTEREAU_BACKUP_TO."), UNUSABLE)
            made = back_up(options["to"], wanted_from_settings(), at=timezone.now())
            self.stdout.write(str(made.entry))
            secret = self._secret(made.entry, options["passphrase_file"])
            update(release, made.entry, secret, lambda words: self.stdout.write(f"· {words}"))
        except KeepError as refusal:
            self._refuse(str(refusal), UNUSABLE if refusal.is_input else FOUND)
        words = _("Done: start the server from %(folder)s.")
        self.stdout.write(words % {"folder": release.folder})

    def _secret(self, entry: Path, file: str | None) -> str:
        """What opens the backup, asked for beforehand where it is the only way back."""
        if connection.vendor == "sqlite" or not is_locked(entry):
            return ""
        return read_secret(file) if file else typed_secret()

    def _refuse(self, sentence: str, code: int) -> None:
        self.stderr.write(sentence)
        sys.exit(code)
