"""Send a paper by e-mail, and keep of every attempt how it ended."""

from __future__ import annotations

import datetime as dt
import logging
from smtplib import SMTPException
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction

from repairs.audit.actions import record
from repairs.errors import MailNotSetUpError
from repairs.invoices.models import Invoice, Sending
from repairs.press.actions import pdf_bytes
from repairs.press.models import Paper

log = logging.getLogger(__name__)
CONSOLE = "django.core.mail.backends.console.EmailBackend"


def require_mail() -> None:
    """Raise MailNotSetUpError when a message would go nowhere."""
    if settings.EMAIL_BACKEND == CONSOLE or not settings.DEFAULT_FROM_EMAIL:
        raise MailNotSetUpError


def send_paper(sending: Sending, words: tuple[str, str], *, by: Any, at: dt.datetime) -> Sending:
    """Send the paper to the address, with ``words`` as subject and text; say how it ended.

    The attempt is written before the message goes out and its end after it, in transactions of
    their own: a crash between the two leaves “not known”, never nothing.
    """
    require_mail()
    sending.state, sending.at, sending.by = Sending.State.UNDER_WAY, at, by
    with transaction.atomic():
        sending.save()
        record(by, "paper.sending", sending.invoice, at=at, **_details(sending))
    try:
        _message(sending, words).send()
    except (OSError, SMTPException) as trouble:
        log.warning("paper %s was not sent: %s", sending.paper_id, trouble)
        return _end(sending, Sending.State.FAILED, str(trouble) or type(trouble).__name__)
    return _end(sending, Sending.State.SENT, "")


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
    kind = f"-{paper.kind}" if paper.kind in (Paper.Kind.REMINDER, Paper.Kind.STATEMENT) else ""
    return f"{invoice.number}{kind}{rest}.pdf"


@transaction.atomic
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
