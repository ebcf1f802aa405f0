"""Two people issue a paper of one account at the same moment."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from threading import Barrier

import pytest
from django.utils import timezone

from repairs.payments.models import Reminder
from repairs.payments.paper_kinds import STATEMENT
from repairs.payments.reminders import issue_reminder
from repairs.payments.statements import issue_statement
from repairs.press import actions as press
from repairs.press.document import Sheet
from repairs.press.models import Paper
from tests.beside import shared_database
from tests.hands import AtOnce, blank, two_hands

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def two(invoice, tmp_path, monkeypatch) -> Iterator[AtOnce]:
    """Neither paper is written before both are printed, so that both mean to be the first."""
    printed, both = count(1), Barrier(2)

    def together(sheet: Sheet) -> tuple[bytes, int]:
        if next(printed) <= 2:
            both.wait(20)
        return blank(sheet)

    monkeypatch.setattr(press, "render", together)
    with shared_database(tmp_path), two_hands() as at_once:
        yield at_once


def test_two_statements_of_one_client_are_two_versions(two, payer, helene, odile):
    said = two(
        lambda: issue_statement(payer, language="fr", by=helene, at=timezone.now()),
        lambda: issue_statement(payer, language="en", by=odile, at=timezone.now()),
        0.0,
    )

    assert said == ["done", "done"]
    first, second = Paper.objects.filter(kind=STATEMENT).order_by("version")
    assert (first.version, second.version, second.replaces) == (1, 2, first)


def test_of_two_reminders_of_one_invoice_one_is_refused(two, later, invoice, helene, odile):
    at = later(20)

    said = two(
        lambda: issue_reminder(invoice, by=helene, at=at),
        lambda: issue_reminder(invoice, by=odile, at=at),
        0.0,
    )

    assert [end.partition(":")[0] for end in sorted(said)] == ["done", "refused"]
    assert "No reminder was issued" in max(said)
    assert Reminder.objects.get().level == 1
