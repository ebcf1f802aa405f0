"""What a second process does in these tests: enter clients, one transaction each."""

from __future__ import annotations

from django.utils import timezone

from repairs.people.actions import enter_client
from repairs.people.models import Client
from tests.beside import ready


def enter_clients(name: str, count: str) -> None:
    ready()
    for number in range(int(count)):
        enter_client(Client(name=f"{name} {number}"), by=None, at=timezone.now())
