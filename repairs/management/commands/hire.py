"""Let someone in from the command line; the first principal comes in this way."""

from __future__ import annotations

import getpass
import os
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from repairs.language.text import LANGUAGES
from repairs.people.actions import save_user
from repairs.people.models import Role, User


class Command(BaseCommand):
    """Give somebody an account from the shell: the first one of a new casebook."""

    help = "Makes an account, or gives an existing one another role and password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Who, in which role; the password is asked for, or taken from the environment."""
        parser.add_argument("--username", required=True)
        parser.add_argument("--role", choices=Role.values, default=Role.PRINCIPAL)
        parser.add_argument("--first-name", default="")
        parser.add_argument("--last-name", default="")
        parser.add_argument("--language", choices=LANGUAGES, default=LANGUAGES[0])

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the account, or change it."""
        user = User.objects.filter(username=options["username"]).first()
        user = user or User(username=options["username"])
        for name in ("role", "first_name", "last_name", "language"):
            if options[name] or not getattr(user, name):
                setattr(user, name, options[name])
        password = os.environ.get("SAUTEREAU_PASSWORD") or getpass.getpass("Password: ")
        try:
            validate_password(password, user)
        except ValidationError as fault:
            raise CommandError(" ".join(fault.messages)) from fault
        save_user(user, by=None, at=timezone.now(), password=password)
        self.stdout.write(f"Done: {user.username} may sign in as {user.role}.")
