"""Sends a house what nobody would: ``python -m … SEED REQUESTS``, in the data folder of the demo.

As every role and as nobody; what is answered with 500 or above is told with what was sent.
"""

from __future__ import annotations

import sys
from random import Random
from typing import Any

import django

from repairs.measures.child import tell
from repairs.measures.fuzz import Tried, one, walked, watched

TOLD = 40


def main() -> None:
    """Walk as every role, then send as many requests as were asked for."""
    django.setup()
    chance, tried = Random(int(sys.argv[1])), Tried()  # noqa: S311 - a draw, no secret
    walks = [walked(role, browser) for role, browser in people()]
    with watched(tried):
        for _request in range(int(sys.argv[2])):
            one(chance.choice(walks), chance, tried)
    tell(
        {
            "pages": sum(len(walk.pages) for walk in walks),
            "gets": tried.gets,
            "posts": tried.posts,
            "answers": {str(code): n for code, n in sorted(tried.answers.items())},
            "broken": sum(tried.times.values()),
            "faults": [f"{tried.times[k]} × {what}" for k, what in tried.broken.items()][:TOLD],
        }
    )


def people() -> list[tuple[str, Any]]:
    """A browser for each role of the house, and one that nobody signed in."""
    from django.conf import settings  # noqa: PLC0415 - after the set-up
    from django.test import Client  # noqa: PLC0415 - as above

    from repairs.people.models import Role, User  # noqa: PLC0415 - as above

    host: dict[str, Any] = {
        "SERVER_NAME": settings.ALLOWED_HOSTS[0],
        "raise_request_exception": False,
    }
    found: list[tuple[str, Any]] = [("nobody", Client(**host))]
    for role in Role.values:
        person, _made = User.objects.get_or_create(username=f"fuzz-{role}", role=role)
        browser = Client(**host)
        browser.force_login(person)
        found.append((role, browser))
    return found


if __name__ == "__main__":
    main()
