"""One backup into a folder; or a drill, which restores the newest beside and compares."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from typing import Any, NoReturn

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.keep.actions import back_up, drill, newest_entry, trouble_words
from repairs.keep.bundle import is_locked
from repairs.keep.due import wanted_from_settings
from repairs.keep.keys import Wanted
from repairs.keep.refusals import KeepError, TwoWaysError
from repairs.keep.secrets import read_secret, typed_secret

FOUND, UNUSABLE = 1, 2


class Command(BaseCommand):
    """Write one whole, dated entry; what did not change since the last is linked."""

    help = (
        "Writes one whole backup into --to (default SAUTEREAU_BACKUP_TO) and prints its path last. "
        "--drill restores the newest beside, compares every row and file, and throws it away. "
        "Exits with 1 when it could not be made or found something wrong, with 2 and a sentence "
        "for a folder or key that cannot be used."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to, for whom, how many to keep."""
        parser.add_argument("--to", metavar="DIR", default=settings.BACKUP_TO, help="the folder")
        parser.add_argument(
            "--recipient",
            action="append",
            default=[],
            metavar="AGE1…",
            help="encrypt to this public key; at least two",
        )
        parser.add_argument(
            "--passphrase-file",
            metavar="FILE",
            help="encrypt with the passphrase in it; of a drill: passphrase or key that opens it",
        )
        parser.add_argument("--new-key", action="store_true", help="take a new passphrase or key")
        parser.add_argument("--keep", type=int, metavar="N", help="then keep the newest N only")
        parser.add_argument("--drill", action="store_true", help="try the newest one")
        parser.add_argument("--json", action="store_true", help="tell it as one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        """Make it, or try it."""
        try:
            if not options["to"]:
                self._refuse(_("Name the folder: --to DIR, or SAUTEREAU_BACKUP_TO."), UNUSABLE)
            if options["keep"] is not None and options["keep"] < 1:
                self._refuse(_("--keep wants a number from 1 on."), UNUSABLE)
            self._drill(options) if options["drill"] else self._back_up(options)
        except KeepError as refusal:
            self._refuse(str(refusal), UNUSABLE if refusal.is_input else FOUND)

    def _back_up(self, options: dict[str, Any]) -> None:
        keep_n = settings.BACKUP_KEEP if options["keep"] is None else options["keep"]
        made = back_up(options["to"], _wanted(options), at=timezone.now(), keep_n=keep_n)
        trouble = trouble_words(made)
        if options["json"]:
            said = {**made.__dict__, "entry": str(made.entry)}
            self.stdout.write(json.dumps(said, ensure_ascii=False))
        else:
            words = _(
                "%(rows)s rows of %(tables)s tables, %(files)s files (%(copied)s of them new), "
                "%(mb)s MB."
            )
            mb = f"{made.size_bytes / 1e6:.1f}"
            self.stdout.write(
                words
                % {
                    "rows": made.rows_n,
                    "tables": made.tables_n,
                    "files": made.files_n,
                    "copied": made.copied_n,
                    "mb": mb,
                }
            )
            self.stdout.write(str(made.entry))
        if trouble:
            self._refuse(trouble, FOUND)

    def _drill(self, options: dict[str, Any]) -> None:
        entry = newest_entry(options["to"])
        secret = ""
        if is_locked(entry):
            file = options["passphrase_file"]
            secret = read_secret(file) if file else typed_secret()
        restored = drill(options["to"], secret, at=timezone.now())
        if options["json"]:
            self.stdout.write(json.dumps({**restored.__dict__, "entry": str(entry)}))
            return
        words = _(
            "%(entry)s was restored beside and compared: %(rows)s rows of %(tables)s tables and "
            "%(files)s files are the same; passed: %(proofs)s."
        )
        self.stdout.write(
            words
            % {
                "entry": entry.name,
                "rows": restored.rows_n,
                "tables": restored.tables_n,
                "files": restored.files_n,
                "proofs": ", ".join(restored.proved),
            }
        )

    def _refuse(self, sentence: str, code: int) -> NoReturn:
        self.stderr.write(sentence)
        sys.exit(code)


def _wanted(options: dict[str, Any]) -> Wanted:
    """What the command line says; else what is set up for every night."""
    if options["recipient"] and options["passphrase_file"]:
        raise TwoWaysError
    if options["recipient"]:
        return Wanted(recipients=tuple(options["recipient"]), new_key=options["new_key"])
    if options["passphrase_file"]:
        phrase = read_secret(options["passphrase_file"])
        return Wanted(passphrase=phrase, new_key=options["new_key"])
    return wanted_from_settings(new_key=options["new_key"])
