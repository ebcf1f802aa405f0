"""What a second process does in these tests: enter clients, one transaction each, with a row that
the log vouches for."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from repairs.audit.actions import deed, record
from repairs.audit.models import LogEntry
from repairs.people.actions import enter_client
from repairs.people.models import Client, DataConsent
from tests.beside import ready


def said(by: Any, verb: str, subject: object, **said: Any) -> LogEntry:
    """A deed that says just this; the line that stands of it."""
    with deed():
        record(by, verb, subject, **said)
    return LogEntry.objects.latest("seq")


def enter_clients(name: str, count: str) -> None:
    ready()
    for number in range(int(count)):
        with deed():
            now = timezone.now()
            client = enter_client(Client(name=f"{name} {number}"), by=None, at=now)
            DataConsent.objects.create(client=client, purpose="keep", how="spoken", given_at=now)
