"""Sending by e-mail: what went, what did not and why; never in silence."""

from __future__ import annotations

from smtplib import SMTPAuthenticationError, SMTPException, SMTPRecipientsRefused

import pytest
from django.core import mail
from django.core.mail.backends.base import BaseEmailBackend
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.payments.models import Sending
from repairs.payments.reminders import issue_reminder
from repairs.payments.sending import CONSOLE, send_paper
from repairs.press.actions import pdf_bytes
from repairs.storage import files as store


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


def test_a_failure_is_kept_and_shown_with_its_reason(send, client, invoice, settings):
    settings.EMAIL_BACKEND = f"{__name__}.Refusing"

    page = send()

    row = Sending.objects.get()
    assert row.state == Sending.State.FAILED
    assert "did not take the message" in row.why
    assert "(550 no such person)" in row.why
    assert f"Not sent to garance@example.org. {row.why} What you wrote stands below." in page.text
    assert "✕ not sent" in client.get(invoice.get_absolute_url()).text


def test_a_failure_stands_in_the_log(send, invoice, settings):
    settings.EMAIL_BACKEND = f"{__name__}.Refusing"

    send()

    verbs = LogEntry.objects.filter(subject=invoice.log_key).values_list("verb", flat=True)
    assert list(verbs)[-2:] == ["paper.sending", "paper.not_sent"]


def test_after_a_failure_the_form_comes_back_as_it_was_typed(send, settings):
    settings.EMAIL_BACKEND = f"{__name__}.Refusing"
    words = {"address": "gara@example.org", "subject": "My own", "text": "What I wrote"}

    page = send(words)

    assert {name: page.context["form"][name].value() for name in words} == words
    assert "What I wrote</textarea>" in page.text


def test_a_failed_message_may_be_sent_again(send, settings):
    good = settings.EMAIL_BACKEND
    settings.EMAIL_BACKEND = f"{__name__}.Refusing"
    send()
    settings.EMAIL_BACKEND = good

    send()

    assert len(mail.outbox) == 1
    assert [row.state for row in Sending.objects.all()] == ["sent", "failed"]


@pytest.mark.parametrize(
    ("trouble", "advice", "said"),
    [
        (SMTPException("odd"), "did not take the message", "odd"),
        (SMTPAuthenticationError(535, b"bad login"), "SAUTEREAU_MAIL_PASSWORD", "535 bad login"),
        (
            SMTPRecipientsRefused({"a@b.org": (550, "unknown é".encode())}),
            "refused the address",
            "550 unknown é",
        ),
        (ConnectionRefusedError("nobody there"), "could not be reached", "nobody there"),
        (TimeoutError(), "could not be reached", "TimeoutError"),
        (UnicodeError("label too long"), "could not be made", "label too long"),
    ],
)
def test_every_failure_says_what_to_do(send, settings, monkeypatch, trouble, advice, said):
    def stop(_backend, _messages):
        raise trouble

    monkeypatch.setattr(Refusing, "send_messages", stop)
    settings.EMAIL_BACKEND = f"{__name__}.Refusing"

    page = send()

    why = Sending.objects.get().why
    assert advice in why
    assert why.endswith(f"({said})")
    assert page.status_code == 200


def test_a_paper_that_is_lost_leaves_a_trace_too(send, invoice):
    store.path_of(invoice.paper.file_name).unlink()

    send()

    assert Sending.objects.get().state == Sending.State.FAILED
    assert mail.outbox == []


def test_a_crash_on_the_way_leaves_not_known(invoice, helene, settings):
    settings.EMAIL_BACKEND = f"{__name__}.Dying"
    sending = Sending(invoice=invoice, paper=invoice.paper, address="garance@example.org")

    with pytest.raises(KeyboardInterrupt):
        send_paper(sending, ("Your invoice", "Good day"), by=helene, at=timezone.now())

    assert Sending.objects.get().state == Sending.State.UNDER_WAY


@pytest.mark.parametrize(
    ("name", "value"), [("EMAIL_BACKEND", CONSOLE), ("DEFAULT_FROM_EMAIL", "")]
)
def test_without_a_mail_server_the_attempt_is_kept_and_the_words_come_back(
    send, settings, name, value
):
    setattr(settings, name, value)

    page = send()

    row = Sending.objects.get()
    assert row.state == Sending.State.FAILED
    assert "no mail server is set" in row.why
    assert "no mail server is set" in page.text
    assert "Good day</textarea>" in page.text
    assert mail.outbox == []


def test_the_page_says_beforehand_that_no_mail_server_is_set(client, invoice, helene, settings):
    client.force_login(helene)
    address = reverse("invoices:send", args=[invoice.number])

    assert "no mail server is set" not in client.get(address).text
    settings.EMAIL_BACKEND = CONSOLE
    assert "no mail server is set" in client.get(address).text


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
