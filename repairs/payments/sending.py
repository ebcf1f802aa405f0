"""Send a paper by e-mail, and keep of every attempt how it ended."""

from __future__ import annotations

import datetime as dt
import logging
from smtplib import (
    SMTPAuthenticationError,
    SMTPException,
    SMTPRecipientsRefused,
    SMTPResponseException,
)
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.audit.actions import deed, record
from repairs.invoices.models import Invoice
from repairs.payments.models import Sending
from repairs.payments.paper_kinds import REMINDER, STATEMENT
from repairs.people.models import User
from repairs.press.actions import pdf_bytes
from repairs.press.models import Paper

log = logging.getLogger(__name__)
CONSOLE = "django.core.mail.backends.console.EmailBackend"
NOT_SET_UP = _(
    "Nothing was sent: no mail server is set. Download the PDF and send it yourself, or have "
    "SAUTEREAU_MAIL_HOST and SAUTEREAU_MAIL_FROM set where the program is started."
)
ADVICE: tuple[tuple[type[Exception], str | Promise], ...] = (  # the first that fits
    (
        SMTPAuthenticationError,
        _(
            "The mail server refused the name or the password of the workshop. Have "
            "SAUTEREAU_MAIL_USER and SAUTEREAU_MAIL_PASSWORD looked over where the program is "
            "started."
        ),
    ),
    (SMTPRecipientsRefused, _("The mail server refused the address. Look it over.")),
    (
        SMTPException,
        _(
            "The mail server did not take the message. Try again later, or download the PDF and "
            "send it yourself."
        ),
    ),
    (
        OSError,
        _(
            "The mail server could not be reached. Try again later, or download the PDF and send "
            "it yourself."
        ),
    ),
    (Exception, _("The message could not be made. Look over the address and the text.")),
)


def mail_fault() -> str:
    """Why a message would go nowhere; empty when it may go."""
    is_set = settings.EMAIL_BACKEND != CONSOLE and settings.DEFAULT_FROM_EMAIL
    return "" if is_set else str(NOT_SET_UP)


def send_paper(sending: Sending, words: tuple[str, str], *, by: User, at: dt.datetime) -> Sending:
    """Send the paper to the address, with ``words`` as subject and text; say how it ended.

    The attempt is written before the message goes out and its end after it, in transactions of
    their own: a crash between the two leaves “not known”, never nothing. Nothing is raised, so
    that no transaction around it takes the trace of a failure away.
    """
    sending.state, sending.at, sending.by = Sending.State.UNDER_WAY, at, by
    with deed():
        sending.save()
        record(by, "paper.sending", sending.invoice, at=at, **_details(sending))
    why = mail_fault() or _sent(sending, words)
    return _end(sending, Sending.State.FAILED if why else Sending.State.SENT, why)


def _sent(sending: Sending, words: tuple[str, str]) -> str:
    """Hand the message over; why it did not go, in words, or nothing.

    A server, a network, an address or a lost file: whatever stops it must leave its trace.
    """
    try:
        _message(sending, words).send()
    except Exception as trouble:
        log.warning("paper %s was not sent: %s", sending.paper_id, trouble)
        return _why(trouble)
    return ""


def _why(trouble: Exception) -> str:
    """What to do about it, and what the server or the program itself said."""
    advice = next(words for kind, words in ADVICE if isinstance(trouble, kind))
    return f"{advice} ({_said(trouble)})"


def _said(trouble: Exception) -> str:
    if isinstance(trouble, SMTPRecipientsRefused) and trouble.recipients:
        return _answer(*next(iter(trouble.recipients.values())))
    if isinstance(trouble, SMTPResponseException):
        return _answer(trouble.smtp_code, trouble.smtp_error)
    return str(trouble) or type(trouble).__name__


def _answer(code: int, words: bytes | str) -> str:
    """What a mail server answered, as it says it."""
    return f"{code} {words.decode(errors='replace') if isinstance(words, bytes) else words}"


def _message(sending: Sending, words: tuple[str, str]) -> EmailMessage:
    subject, text = words
    message = EmailMessage(
        subject=" ".join(subject.split()),  # a line break would begin another header
        body=text,
        from_email=settings.DEFAULT_FROM_EMAIL,
        to=[sending.address],
        reply_to=[sending.by.email] if sending.by.email else None,
    )
    name = file_name(sending.invoice, sending.paper)
    message.attach(name, pdf_bytes(sending.paper), "application/pdf")
    return message


def file_name(invoice: Invoice, paper: Paper) -> str:
    """“FA-2026-0001.pdf”, and “FA-2026-0001-reminder-2.pdf” for what came after it."""
    rest = paper.subject.removeprefix(invoice.log_key).replace(":", "-")
    kind = f"-{paper.kind}" if paper.kind in (REMINDER, STATEMENT) else ""
    return f"{invoice.number}{kind}{rest}.pdf"


@deed()
def _end(sending: Sending, state: str, why: str) -> Sending:
    sending.state, sending.why = state, why[:500]
    sending.save(update_fields=["state", "why"])
    verb = "paper.sent" if state == Sending.State.SENT else "paper.not_sent"
    record(sending.by, verb, sending.invoice, at=sending.at, **_details(sending))
    return sending


def _details(sending: Sending) -> dict[str, Any]:
    return {
        "hashed": {"address": sending.address},
        "paper": str(sending.paper.uuid),
        "sending": sending.pk,
    }
