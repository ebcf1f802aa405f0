"""What the pages of money say once something was done, what the log keeps, and who is asked."""

from __future__ import annotations

import datetime as dt
import logging
from smtplib import SMTPException, SMTPRecipientsRefused
from typing import Any

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.invoices.models import Payment
from repairs.payments import statements
from repairs.payments.forms import PaymentForm
from repairs.payments.models import Reminder, Sending
from repairs.payments.reminders import issue_reminder
from repairs.payments.sending import send_paper
from repairs.payments.statements import issue_statement
from repairs.people.access import DEEDS
from repairs.people.models import Role
from repairs.press.actions import pdf_bytes
from repairs.press.refusals import PreviewOutdatedError
from tests import factories


def log_of(subject: str, verb: str) -> list[dict]:
    rows = LogEntry.objects.filter(subject=subject, verb=verb)
    return [row.details for row in rows.order_by("pk")]


def test_a_reminder_is_told_and_logged_and_its_paper_opened_or_downloaded(
    client, owed, helene, odile
):
    client.force_login(helene)

    page = client.post(reverse("invoices:remind", args=[owed.number]), follow=True)

    assert "Reminder 1 is issued." in page.text
    assert [said["level"] for said in log_of(owed.log_key, "invoice.reminded")] == [1]
    paper = reverse("invoices:paper", args=[owed.reminders.get().paper.uuid])
    for query, how in (("", "inline"), ("?download", "attachment")):
        file = client.get(f"{paper}{query}")
        assert b"".join(file) == pdf_bytes(owed.reminders.get().paper)
        assert file["Content-Disposition"].startswith(how)
    for level in ("2", "0", "x", "11"):
        sent = client.get(f"{reverse('invoices:send', args=[owed.number])}?reminder={level}")
        assert sent.status_code == 404


def test_a_wrong_entry_is_reversed_by_its_button(books_open, invoice, helene):
    wrong = factories.payment(invoice, "10.00", by=helene)

    page = books_open.post(
        reverse("invoices:reverse", args=[invoice.number, wrong.pk]), follow=True
    )

    assert "The entry is reversed; both stand in the books." in page.text
    assert invoice.payments.count() == 2
    (noted,) = log_of(invoice.log_key, "payment.noted")
    assert (noted["amount"], noted["sort"]) == ("10.00", "received")


def test_who_may_look_and_not_bill_issues_no_statement(books_open, payer, invoice, monkeypatch):
    address = reverse("invoices:statement", args=[payer.pk])
    said = books_open.post(address, follow=True)
    with monkeypatch.context() as patched:
        patched.setitem(DEEDS, Role.BOOKKEEPER, DEEDS[Role.BOOKKEEPER] - {"bill"})
        assert books_open.post(address).status_code == 403
        assert books_open.get(address).status_code == 200

    assert "is issued." in said.text
    assert len(books_open.get(address).context["papers"]) == 1


def test_the_second_look_is_hidden_until_something_is_odd(invoice):
    def form(amount: str) -> PaymentForm:
        today = timezone.localdate().isoformat()
        words = {"sort": "received", "amount": amount, "means": "30", "paid_on": today}
        return PaymentForm(words, instance=Payment(invoice=invoice))

    usual, odd = form("417.60"), form("417.61")

    assert (usual.is_valid(), usual["sure"].is_hidden) == (True, True)
    assert (odd.is_valid(), odd["sure"].is_hidden) == (False, False)


# Two at once ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("faster", "issues"), [(0, True), (2, True), (3, False)])
def test_a_statement_is_printed_anew_twice_when_others_were_faster(monkeypatch, faster, issues):
    tried = []

    def issue(*said: object) -> str:
        tried.append(said)
        if len(tried) <= faster:
            raise PreviewOutdatedError
        return "the paper"

    monkeypatch.setattr(statements, "_issue", issue)
    nobody: Any = None
    said: dict[str, Any] = {"language": "fr", "by": None, "at": None}
    if issues:
        assert str(issue_statement(nobody, **said)) == "the paper"
    else:
        with pytest.raises(PreviewOutdatedError):
            issue_statement(nobody, **said)
    assert len(tried) == min(faster + 1, 3)


def test_what_a_deed_rests_on_is_held_until_its_end(held, invoice, payer, helene, later):
    held.clear()
    factories.payment(invoice, "1.00", by=helene)
    assert held[:2] == ["House", "Invoice"]
    held.clear()
    issue_statement(payer, language="en", by=helene, at=timezone.now())
    assert held[0] == "Client"
    held.clear()
    issue_reminder(invoice, by=helene, at=later(5))
    assert held[0] == "Invoice"


# Letters by e-mail ---------------------------------------------------------------------------


class Failing(EmailBackend):
    trouble: Exception

    def send_messages(self, _messages):
        raise self.trouble


@pytest.fixture
def sent(invoice, helene, settings):
    settings.DEFAULT_FROM_EMAIL = "atelier@example.org"

    def send(trouble: Exception | None = None) -> Sending:
        if trouble is not None:
            Failing.trouble = trouble
            settings.EMAIL_BACKEND = f"{__name__}.Failing"
        row = Sending(invoice=invoice, paper=invoice.paper, address="garance@example.org")
        return send_paper(row, ("Your invoice", "Good day"), by=helene, at=timezone.now())

    return send


def test_the_answer_goes_to_whoever_wrote(sent, helene):
    sent()
    helene.email = ""
    sent()

    assert [message.reply_to for message in mail.outbox] == [["helene@example.org"], []]


def test_a_long_complaint_of_a_server_is_kept_in_five_hundred_signs(sent, caplog):
    with caplog.at_level(logging.WARNING):
        row = sent(SMTPException("no " * 300))

    assert len(row.why) == 500
    assert "was not sent: no no" in caplog.text


def test_a_server_that_refuses_without_naming_an_address_is_told_all_the_same(sent):
    assert sent(SMTPRecipientsRefused({})).why.endswith("({})")


def test_a_letter_of_the_same_day_is_kept_with_its_day(owed, helene):
    at = timezone.now()
    issue_reminder(owed, by=helene, at=at)

    row = Reminder.objects.get()
    assert (row.issued_on, row.open_amount) == (timezone.localdate(), owed.due)
    assert row.issued_on - owed.due_on == dt.timedelta(days=30)
