"""When there is a reminder and when there is none; what is kept of it, and its page."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from repairs.law.late_payment import laws
from repairs.payments.refusals import ReminderRefusedError
from repairs.payments.reminders import issue_reminder
from repairs.press.actions import pdf_bytes
from tests import factories
from tests.outside.verapdf import validate
from tests.payments.reminding import remind


def test_an_invoice_that_is_not_late_is_not_reminded(invoice, helene, later):
    with pytest.raises(ReminderRefusedError, match="it is due on"):
        issue_reminder(invoice, by=helene, at=later(0))


def test_a_paid_invoice_is_not_reminded(owed, helene):
    factories.payment(owed, "417.60", by=helene)

    with pytest.raises(ReminderRefusedError, match="nothing is left to pay"):
        remind(owed, helene)


def test_one_a_day_is_enough(owed, helene):
    remind(owed, helene)

    with pytest.raises(ReminderRefusedError, match="today already"):
        remind(owed, helene)


def test_after_the_third_there_is_none(owed, helene):
    for days in (0, 10, 20):
        remind(owed, helene, days)

    with pytest.raises(ReminderRefusedError, match="court"):
        remind(owed, helene, 30)


def test_after_the_third_the_page_says_what_comes_next(client, owed, helene):
    client.force_login(helene)
    address, button = owed.get_absolute_url(), reverse("invoices:remind", args=[owed.number])
    for days in (0, 10):
        remind(owed, helene, days)
    before = client.get(address).text
    remind(owed, helene, 20)

    after, money = client.get(address).text, client.get(reverse("invoices:money")).text

    assert button in before
    assert "Three reminders were issued" not in before
    assert button not in after + money
    assert "Three reminders were issued" in after


def test_each_level_is_a_paper_of_its_own(owed, helene):
    first, second = remind(owed, helene), remind(owed, helene, 10)

    assert first.paper.subject == f"invoice:{owed.number}:1"
    assert (second.paper.version, second.paper.replaces) == (1, None)


def test_the_database_knows_each_level_once(owed, helene):
    row = remind(owed, helene)
    row.pk, row._state.adding = None, True

    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


@pytest.mark.parametrize("country", list(laws()))
def test_every_country_has_its_texts_in_both_languages(country):
    law = laws()[country]

    assert {"business", "consumer"} <= law.keys()
    for texts in law.values():
        if isinstance(texts, dict):
            assert {"en", "fr"} <= set(texts)
            assert all(texts.values())
    assert Decimal(law["fee"]) >= 0


def test_the_page_shows_what_will_be_issued_and_issues_it(client, owed, helene):
    client.force_login(helene)
    address = reverse("invoices:remind", args=[owed.number])

    shown = client.get(address).text
    client.post(address)

    assert "417.60" in shown
    assert owed.reminders.get().level == 1


def test_the_page_says_why_there_is_none(client, invoice, helene):
    client.force_login(helene)

    shown = client.get(reverse("invoices:remind", args=[invoice.number])).text

    assert "it is due on" in shown
    assert "Issue this reminder" not in shown


@pytest.mark.slow
@pytest.mark.real_press
def test_reminders_are_archival_and_accessible(tmp_path, owed, helene):
    files = []
    for language, days in (("fr", 0), ("en", 10), ("fr", 20)):
        owed.client.language = language
        owed.client.save()
        files.append(tmp_path / f"{days}.pdf")
        files[-1].write_bytes(pdf_bytes(remind(owed, helene, days).paper))

    assert validate(files) == {file.name: {"3a": [], "ua1": []} for file in files}
