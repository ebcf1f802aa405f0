"""A small house for the measure of the doors: some stays on the bench, and who looks at them.

Prints the cookie of a principal who is signed in.
"""

from __future__ import annotations

import json
import sys

STAYS = 30


def main() -> None:
    """Set it up in the data folder of the environment."""
    # Only here: the floors of the measures load nothing that they do not use.
    import django  # noqa: PLC0415

    from workshop.prepare import prepare  # noqa: PLC0415

    prepare()
    django.setup()
    from django.core.management import call_command  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    sys.stdout.write(json.dumps({"cookie": _filled()}) + "\n")


def _first_kind() -> str:
    """The first kind of instrument that the house knows."""
    from repairs.instruments.kinds import kinds  # noqa: PLC0415 - the apps must be ready first

    return next(iter(kinds()))


def _filled() -> str:
    from django.conf import settings  # noqa: PLC0415
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY  # noqa: PLC0415
    from django.contrib.sessions.backends.db import SessionStore  # noqa: PLC0415
    from django.utils import timezone  # noqa: PLC0415

    from repairs.cases.actions import take_in  # noqa: PLC0415
    from repairs.cases.models import Case  # noqa: PLC0415
    from repairs.instruments.actions import enter_instrument  # noqa: PLC0415
    from repairs.instruments.models import Instrument  # noqa: PLC0415
    from repairs.people.actions import enter_client  # noqa: PLC0415
    from repairs.people.models import Client, Role, User  # noqa: PLC0415

    now = timezone.now()
    person = User.objects.create_user("measured", role=Role.PRINCIPAL)
    owner = enter_client(Client(name="A measured client"), by=person, at=now)
    for _stay in range(STAYS):
        row = Instrument(kind=_first_kind(), owner=owner)
        enter_instrument(row, {}, by=person, at=now)
        take_in(
            Case(instrument=row, owner=owner, reason="repair", received_at=now, place="shelf"),
            by=person,
            at=now,
        )
    visit = SessionStore()
    visit[SESSION_KEY] = str(person.pk)
    visit[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    visit[HASH_SESSION_KEY] = person.get_session_auth_hash()
    visit.create()
    return f"{settings.SESSION_COOKIE_NAME}={visit.session_key}"


if __name__ == "__main__":
    main()
