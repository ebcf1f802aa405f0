"""Sending by e-mail: what went, what did not and why; never in silence."""

from __future__ import annotations

from smtplib import SMTPException

import pytest
from django.core import mail
from django.core.mail.backends.base import BaseEmailBackend
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.errors import MailNotSetUpError
from repairs.invoices.models import Sending
from repairs.invoices.reminders import issue_reminder
from repairs.invoices.sending import CONSOLE, send_paper
from repairs.press.actions import pdf_bytes


class Refusing(BaseEmailBackend):
    """A mail server that takes nothing."""

    def send_messages(self, _messages):
        raise SMTPException("550 no such person")


class Dying(BaseEmailBackend):
    """The lamp goes out while the message is on its way."""

    def send_messages(self, _messages):
        raise KeyboardInterrupt


@pytest.fixture(autouse=True)
def post_office(settings):
    settings.DEFAULT_FROM_EMAIL = "atelier@example.org"


@pytest.fixture
def send(client, invoice, helene):
    client.force_login(helene)
    words = {"address": "garance@example.org", "subject": "Your invoice", "text": "Good day"}

    def post(words: dict[str, str] = words, query: str = ""):
        address = reverse("invoices:send", args=[invoice.number]) + query
        return client.post(address, words, follow=True)

    return post


def test_the_message_carries_the_issued_pdf(send, invoice):
    page = send()

    message = mail.outbox[0]
    assert (message.to, message.from_email) == (["garance@example.org"], "atelier@example.org")
    assert message.attachments[0] == (
        f"{invoice.number}.pdf",
        pdf_bytes(invoice.paper),
        "application/pdf",
    )
    assert "Sent to garance@example.org." in page.text


def test_what_was_sent_when_and_by_whom_is_kept(send, invoice, helene):
    send()

    row = Sending.objects.get()
    verbs = LogEntry.objects.filter(subject=invoice.log_key).values_list("verb", flat=True)
    assert (row.state, row.by, row.paper) == (Sending.State.SENT, helene, invoice.paper)
    assert list(verbs)[-2:] == ["paper.sending", "paper.sent"]


def test_the_address_stands_in_the_log_only_as_a_hash(send, invoice):
    send()

    lines = LogEntry.objects.filter(subject=invoice.log_key, verb__startswith="paper.sen")
    assert all("garance" not in str(line.details) for line in lines)


def test_a_failure_is_kept_and_shown_with_its_reason(send, settings):
    settings.EMAIL_BACKEND = f"{__name__}.Refusing"

    page = send()

    row = Sending.objects.get()
    assert (row.state, row.why) == (Sending.State.FAILED, "550 no such person")
    assert "Not sent to garance@example.org: 550 no such person" in page.text
    assert "✕ not sent" in page.text


def test_a_crash_on_the_way_leaves_not_known(invoice, helene, settings):
    settings.EMAIL_BACKEND = f"{__name__}.Dying"
    sending = Sending(invoice=invoice, paper=invoice.paper, address="garance@example.org")

    with pytest.raises(KeyboardInterrupt):
        send_paper(sending, ("Your invoice", "Good day"), by=helene, at=timezone.now())

    assert Sending.objects.get().state == Sending.State.UNDER_WAY


@pytest.mark.parametrize(
    ("name", "value"), [("EMAIL_BACKEND", CONSOLE), ("DEFAULT_FROM_EMAIL", "")]
)
def test_without_a_mail_server_one_is_told_that_nothing_was_sent(send, settings, name, value):
    setattr(settings, name, value)

    page = send()

    assert page.status_code == 409
    assert "Nothing was sent: no mail server is set." in page.text
    assert not Sending.objects.exists()
    assert mail.outbox == []


def test_the_refusal_comes_before_anything_is_written(invoice, helene, settings):
    settings.EMAIL_BACKEND = CONSOLE
    sending = Sending(invoice=invoice, paper=invoice.paper, address="garance@example.org")

    with pytest.raises(MailNotSetUpError):
        send_paper(sending, ("Your invoice", "Good day"), by=helene, at=timezone.now())

    assert sending.pk is None


@pytest.mark.parametrize("address", ["", "garance", "a@b@c"])
def test_an_address_that_cannot_be_is_named(send, address):
    page = send({"address": address, "subject": "Your invoice", "text": "Good day"})

    assert "address" in page.context["form"].errors
    assert mail.outbox == []


def test_a_subject_of_two_lines_smuggles_no_header(send):
    send({"address": "garance@example.org", "subject": "One\nBcc: x@y.z", "text": "Good day"})

    assert all("\n" not in message.subject for message in mail.outbox)
    assert all(message.bcc == [] for message in mail.outbox)


def test_a_reminder_is_sent_under_its_own_name(send, invoice, helene, later):
    reminder = issue_reminder(invoice, by=helene, at=later(5))

    send(query="?reminder=1")

    assert mail.outbox[0].attachments[0][0] == f"{invoice.number}-reminder-1.pdf"
    assert Sending.objects.get().paper == reminder.paper


def test_a_reminder_that_is_not_there_cannot_be_sent(send):
    assert send(query="?reminder=2").status_code == 404
    assert send(query="?reminder=²").status_code == 404


def test_the_message_is_proposed_in_the_language_of_the_client(client, invoice, helene):
    client.force_login(helene)

    form = client.get(reverse("invoices:send", args=[invoice.number])).context["form"]

    assert form.initial["address"] == "garance@example.org"
    assert invoice.number in form.initial["subject"]
    assert "417.60" in form.initial["text"]
