"""Let a new principal in from the machine itself: an heir, or who takes the workshop over."""

from __future__ import annotations

import getpass
import os
import sys
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.keep.actions import let_in
from repairs.language.text import LANGUAGES
from repairs.people.models import Role, User

REFUSED, UNUSABLE = 1, 2


class Command(BaseCommand):
    """Whoever holds the machine may do it; the log says for ever that it was done so."""

    help = (
        "Makes a new principal who signs in as NAME; asks for the password. Those who are there "
        "stay. Exits with 1 when the name is taken, with 2 for a name or password that cannot be."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Under which name."""
        parser.add_argument("name", metavar="NAME", help="the name to sign in with")
        parser.add_argument("--language", choices=LANGUAGES, default=LANGUAGES[0])

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the account, and write how it came about."""
        name = options["name"].strip()
        if User.objects.filter(username__iexact=name).exists():
            self._refuse(_("“%(name)s” is here already: take another name.") % {"name": name}, 1)
        user = User(username=name, role=Role.PRINCIPAL, language=options["language"])
        password = os.environ.get("SAUTEREAU_PASSWORD") or getpass.getpass(_("Password: "))
        try:
            user.clean_fields(exclude=["password"])
            validate_password(password, user)
        except ValidationError as fault:
            self._refuse(" ".join(fault.messages), UNUSABLE)
        let_in(user, password, at=timezone.now())
        words = _("Done: %(name)s may sign in and heads the house; the log says so.")
        self.stdout.write(words % {"name": name})

    def _refuse(self, sentence: str, code: int) -> None:
        self.stderr.write(sentence)
        sys.exit(code)
