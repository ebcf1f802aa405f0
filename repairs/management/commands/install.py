"""The casebook as a service of this machine, with a name and a certificate in its network."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.keep.install import doing, machine
from repairs.keep.install.checking import check
from repairs.keep.install.plan import Plan
from repairs.keep.install.refusals import NotGrantedError
from repairs.keep.install.telling import changes, what_now
from repairs.keep.install.wishes import CADDY, NGINX, Wishes, default_name, remembered
from repairs.keep.refusals import KeepError

FOUND, UNUSABLE = 1, 2
TYPED = ("name", "data", "backup_to", "proxy", "acme", "port")


class Command(BaseCommand):
    """Says what it will do, asks, does it; a second time there is nothing to do."""

    help = (
        "Installs the casebook on a Debian machine: service, data folder, settings, local name, "
        "certificate, proxy. Says what it will do and asks first. Exits with 1 and a sentence when "
        "the machine stands in the way, with 2 for words that cannot be used."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """What is wished, and how it is done."""
        parser.add_argument("--name", help="name of the casebook in the network (HOST.local)")
        parser.add_argument("--data", metavar="DIR", help="data folder (/srv/sautereau)")
        parser.add_argument("--backup-to", metavar="DIR", help="folder of the daily backups")
        parser.add_argument("--proxy", choices=(NGINX, CADDY), help="nginx unless said otherwise")
        parser.add_argument(
            "--acme", action="store_true", default=None, help="public certificate (with caddy)"
        )
        parser.add_argument("--port", type=int, help="where the server listens (8000)")
        parser.add_argument("--yes", action="store_true", help="do not ask")
        parser.add_argument("--dry-run", action="store_true", help="only show, with all files")
        parser.add_argument("--by-hand", action="store_true", help="start nothing: no systemd here")
        parser.add_argument("--root", metavar="DIR", default="", help="write into DIR, as a trial")
        way = parser.add_mutually_exclusive_group()
        way.add_argument("--renew", action="store_true", help="only the certificate, if it is time")
        way.add_argument("--undo", action="store_true", help="remove services and files again")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it, or refuse with a sentence."""
        try:
            self._do(options)
        except KeepError as refusal:
            self.stderr.write(str(refusal))
            sys.exit(UNUSABLE if refusal.is_input else FOUND)

    def _do(self, options: dict[str, Any]) -> None:
        root = str(Path(options["root"]).resolve()) if options["root"] else ""
        has_systemd = machine.has_systemd() and not options["by_hand"]
        if options["renew"] or options["undo"]:
            plan = Plan(doing.of_last_time(root), timezone.now(), has_systemd)
            machine.check_root(is_trial=bool(root))
            return self._renew(plan) if options["renew"] else self._undo(plan, options)
        plan = Plan(_wishes(options, root), timezone.now(), has_systemd)
        check(plan.wishes, by_hand=options["by_hand"], is_trial=options["dry_run"])
        return self._install(plan, options)

    def _install(self, plan: Plan, options: dict[str, Any]) -> None:
        wanted = [step for step in plan.steps() if not step.is_done()]
        for line in changes(wanted, with_texts=options["dry_run"]):
            self.stdout.write(line)
        if options["dry_run"]:
            return
        if wanted:
            self._ask(options)
        if not doing.install(plan, self.stdout.write):
            self.stdout.write(_("Nothing to do: everything stands as it shall."))
        for line in what_now(plan):
            self.stdout.write(line)

    def _renew(self, plan: Plan) -> None:
        if doing.renew(plan, self.stdout.write):
            self.stdout.write(_("Done: there is a new certificate for the proxy."))
        else:
            self.stdout.write(_("Nothing to do: the certificate holds for long enough."))

    def _undo(self, plan: Plan, options: dict[str, Any]) -> None:
        self.stdout.write(_("The service and its files of systemd and of the proxy are removed."))
        self._ask(options)
        undone = doing.undo(plan, self.stdout.write)
        self.stdout.write(_("Done. This stays:"))
        for words in undone.stays:
            self.stdout.write(f"· {words}")

    def _ask(self, options: dict[str, Any]) -> None:
        """Raises NotGrantedError."""
        if options["yes"]:
            return
        self.stdout.write(_("Go ahead? (yes/no) "), ending="")
        self.stdout.flush()
        if sys.stdin.readline().strip().lower() not in (_("yes"), "yes", "y", "o"):
            raise NotGrantedError


def _wishes(options: dict[str, Any], root: str) -> Wishes:
    """As typed, else as the last time, else as is usual."""
    usual = {
        "name": default_name(),
        "language": settings.LANGUAGE_CODE,
        "time_zone": settings.TIME_ZONE,
    }
    known = doing.of_wishes(remembered(Wishes.record_in(root)).get("wishes", {}))
    typed = {name: options[name] for name in TYPED if options[name] is not None}
    fixed = {"program": str(settings.BASE_DIR), "root": root}
    return Wishes(**{**usual, **known, **typed, **fixed})
