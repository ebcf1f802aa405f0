"""The words proposed for a message: what is enclosed, what came and what is left to pay."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.invoices.actions import open_credit
from repairs.payments.reminders import issue_reminder
from tests import factories


@pytest.fixture
def proposed(client, invoice, helene):
    client.force_login(helene)

    def words(query: str = "") -> dict[str, str]:
        address = reverse("invoices:send", args=[invoice.number]) + query
        found: dict[str, str] = client.get(address).context["form"].initial
        return {name: said.replace("\u00a0", " ") for name, said in found.items()}

    return words


@pytest.fixture
def english(invoice):
    invoice.client.language = "en"
    invoice.client.save()


def test_the_message_is_proposed_in_the_language_of_the_client(proposed, invoice):
    invoice.client.language = "fr"
    invoice.client.save()

    words = proposed()

    assert words["address"] == "garance@example.org"
    assert invoice.number in words["subject"]
    assert "417,60" in words["text"]


def test_the_message_says_until_when_all_of_it_is_to_be_paid(proposed, english, invoice):
    day = invoice.due_on.strftime("%d %B %Y").lstrip("0")

    assert f"for 417.60 EUR. It is to be paid by {day}." in proposed()["text"]


def test_the_message_says_what_came_was_credited_and_is_left(proposed, english, invoice, helene):
    """417.60 less 100.00 paid and 57.60 (one hour at 48.00 with 20 % VAT) credited: by hand."""
    factories.payment(invoice, "100.00", by=helene)
    part = open_credit(invoice, by=helene, at=timezone.now())
    part.lines.update(quantity=1)
    factories.issued(part, by=helene)

    text = proposed()["text"]

    assert "We have received 100.00 EUR. 57.60 EUR was credited." in text
    assert "260.00 EUR is to be paid by" in text


def test_the_message_says_that_nothing_is_left(proposed, english, invoice, helene):
    factories.payment(invoice, "417.60", by=helene)

    assert "Nothing is left to pay." in proposed()["text"]


def test_the_message_with_a_reminder_says_what_is_still_open(
    proposed, english, invoice, helene, later
):
    issue_reminder(invoice, by=helene, at=later(5))
    factories.payment(invoice, "17.60", by=helene)

    text = proposed("?reminder=1")["text"]

    assert f"please find enclosed: Reminder 1, invoice {invoice.number}." in text
    assert "We have received 17.60 EUR. 400.00 EUR is" in text


def test_the_message_with_a_reminder_asks_for_the_sum_of_that_letter(client, firm, helene):
    firm.language = "en"
    firm.save()
    owed = factories.late(firm, by=helene)
    for days in (0, 10):
        issue_reminder(owed, by=helene, at=timezone.now() + dt.timedelta(days=days))
    client.force_login(helene)

    def text(level: int) -> str:
        address = f"{reverse('invoices:send', args=[owed.number])}?reminder={level}"
        return client.get(address).context["form"].initial["text"].replace("\u00a0", " ")

    asked = owed.reminders.get(level=2).paper.data["content"]["amount"].replace("\u00a0", " ")
    assert asked == "463.09 EUR"  # 417.60 + 5.49 + 40.00
    assert f"{asked} is still to be paid, late charges included." in text(2)
    assert "417.60 EUR is still to be paid." in text(1)
    factories.payment(owed, "400.00", by=helene)
    factories.payment(owed, "45.00", by=helene, sort="charges")
    assert "We have received 445.00 EUR. 18.09 EUR is still to be paid" in text(2)


def test_the_message_ends_in_the_words_of_its_language(proposed, english):
    assert proposed()["text"].endswith("With kind regards\nAtelier Sautarel")


def test_the_message_with_a_credit_note_asks_for_nothing(client, english, invoice, helene):
    note = factories.issued(open_credit(invoice, by=helene, at=timezone.now()), by=helene)
    client.force_login(helene)

    form = client.get(reverse("invoices:send", args=[note.number])).context["form"]

    assert "for 417.60\u00a0EUR.\n\n" in form.initial["text"]
    assert "paid" not in form.initial["text"]
