"""What processes beside the tests do with numbers: take them, issue under them, die over them."""

from __future__ import annotations

import os
import signal
import sys
import time

from django.db import transaction
from django.utils import timezone

from repairs.invoices import issuing
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.series import alone, propose, take
from repairs.people.models import User
from tests import factories
from tests.beside import ready


def take_numbers(count: str) -> None:
    """Take numbers as an issue does, with a pause where it prints."""
    ready()
    for _number in range(int(count)):
        with alone("FA"):
            at = timezone.now()
            place = propose("FA", at)
            time.sleep(0.005)
            with transaction.atomic():
                take(place, at)
        sys.stdout.write(f"{place.sequence} {at.isoformat()}\n")


def issue_drafts(who: str, *drafts: str) -> None:
    by = User.objects.get(pk=who)
    ready()
    for pk in drafts:
        factories.issued(InvoiceDraft.objects.get(pk=pk), by=by)


def die_before_keeping(who: str, draft: str) -> None:
    """All is proposed, printed and proved; then the process is killed, with the series held."""
    issuing._keep = _wait_to_be_killed  # type: ignore[assignment]
    ready()
    factories.issued(InvoiceDraft.objects.get(pk=draft), by=User.objects.get(pk=who))


def _wait_to_be_killed(*_said: object) -> None:
    sys.stdout.write("printed\n")
    sys.stdout.flush()
    sys.stdin.readline()


def die_while_keeping(who: str, draft: str) -> None:
    """The invoice and its number are written, but the transaction never ends."""
    issuing.record = _die  # type: ignore[attr-defined]
    ready()
    factories.issued(InvoiceDraft.objects.get(pk=draft), by=User.objects.get(pk=who))


def _die(*_said: object, **_more: object) -> None:
    os.kill(os.getpid(), signal.SIGKILL)
