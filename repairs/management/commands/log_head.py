"""The head of the log: to be kept outside, on paper, by pipe or by e-mail."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from repairs.audit.anchors import current_head
from repairs.language.refusal import WorkshopError
from repairs.people.head_mail import mail_head


class Command(BaseCommand):
    """Tell the head of the log, or send it."""

    help = (
        "Prints the last line of the log and its hash; --mail sends them to SAUTEREAU_HEAD_TO. "
        "Exits with 1 when the message does not go, with 2 when no address is set."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Whether to send it, and the form of the answer."""
        parser.add_argument("--mail", action="store_true", help="send it by e-mail")
        parser.add_argument("--json", action="store_true", help="one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        """Tell it, and send it if asked."""
        head = current_head()
        if options["json"]:
            self.stdout.write(json.dumps({"seq": head.seq, "sha256": head.sha256}))
        else:
            self.stdout.write(f"{head.seq}: {head.short}\n{head.sha256}")
        if options["mail"]:
            self._send()

    def _send(self) -> None:
        try:
            sent_to = mail_head()
        except WorkshopError as refusal:
            raise CommandError(str(refusal), returncode=1) from refusal
        if not sent_to:
            raise CommandError("No address is set: SAUTEREAU_HEAD_TO.", returncode=2)
        self.stderr.write(f"Sent to {', '.join(sent_to)}.")
