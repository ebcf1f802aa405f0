"""The key that signs papers, from the command line: which it is, a new one, one of an issuer."""

from __future__ import annotations

import getpass
import json
import os
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.language.refusal import WorkshopError
from repairs.people.house_models import House
from repairs.press.keys import KeyFacts, key_facts, make_key, take_key

REFUSED, UNREADABLE = 1, 2


class Command(BaseCommand):
    """Show the key that signs papers, or put another one in its place."""

    help = (
        "Tells which key signs papers. --make puts a new self-made one in its place, --take that "
        "of a PKCS#12 file. Exits with 1 when there is no key or it cannot be used, with 2 and a "
        "sentence for a file or a passphrase that cannot be used."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """What to do; without a word the present key is told."""
        what = parser.add_mutually_exclusive_group()
        what.add_argument("--make", action="store_true", help="make a new key of our own")
        what.add_argument("--take", metavar="FILE", help="take the key of a PKCS#12 file")
        parser.add_argument(
            "--passphrase-file",
            metavar="FILE",
            help="its passphrase, in a file; else SAUTEREAU_PASSPHRASE, else it is asked for",
        )
        parser.add_argument("--json", action="store_true", help="tell it as one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it, and tell which key signs from now on."""
        try:
            facts = self._done(options)
        except OSError as fault:
            place = {"file": fault.filename, "why": fault.strerror}
            self._refuse(_("“%(file)s” cannot be read: %(why)s") % place, UNREADABLE)
        except WorkshopError as refusal:
            self._refuse(str(refusal), UNREADABLE if options["take"] else REFUSED)
        if facts is None:
            self._refuse(_("There is no key: papers go out unsigned."), REFUSED)
        self._tell(facts, as_json=options["json"])

    def _done(self, options: dict[str, Any]) -> KeyFacts | None:
        now = timezone.now()
        if options["make"]:
            return make_key(House.present().name, by=None, at=now)
        if options["take"]:
            data = Path(options["take"]).read_bytes()
            return take_key(data, self._passphrase(options), by=None, at=now)
        return key_facts()

    def _passphrase(self, options: dict[str, Any]) -> str:
        if options["passphrase_file"]:
            # Its one line; an editor has put an end to it that is no part of the passphrase.
            return Path(options["passphrase_file"]).read_text(encoding="utf-8").rstrip("\r\n")
        given = os.environ.get("SAUTEREAU_PASSPHRASE")
        return getpass.getpass("Passphrase: ") if given is None else given

    def _tell(self, facts: KeyFacts, *, as_json: bool) -> None:
        until = facts.until.isoformat() if facts.until else None
        said = {
            "name": facts.name,
            "issuer": facts.issuer or None,
            "self_made": facts.is_self_made,
            "until": until,
            "fingerprint": facts.fingerprint,
        }
        if as_json:
            self.stdout.write(json.dumps(said, ensure_ascii=False, indent=1))
            return
        for name, value in said.items():
            self.stdout.write(f"{name}: {'-' if value in (None, '') else value}")

    def _refuse(self, sentence: str, code: int) -> NoReturn:
        self.stderr.write(sentence)
        sys.exit(code)
