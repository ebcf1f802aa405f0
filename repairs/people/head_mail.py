"""The head of the log by e-mail, to an address outside the house."""

from __future__ import annotations

import datetime as dt

from django.conf import settings
from django.core.mail import EmailMessage
from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.audit.anchors import current_head
from repairs.audit.seldom import tell_counts
from repairs.people.house_models import House
from repairs.people.refusals import HeadNotSentError


def mail_head() -> list[str]:
    """Send the head as it is now to SAUTEREAU_HEAD_TO; return the addresses, none where none is
    set. To be called once a day. Raises HeadNotSentError when the mail does not go."""
    if not settings.HEAD_TO:
        return []
    if not settings.EMAIL_HOST:
        raise HeadNotSentError(why=_("no mail server is set (SAUTEREAU_MAIL_HOST)."))
    with translation.override(settings.LANGUAGE_CODE):
        message = EmailMessage(_subject(), _text(), settings.DEFAULT_FROM_EMAIL, settings.HEAD_TO)
    try:
        message.send()
    except OSError as fault:  # all of smtplib's are
        raise HeadNotSentError(why=str(fault)) from fault
    return list(settings.HEAD_TO)


def once_a_day(*, at: dt.datetime) -> None:
    """Send the head, and say in the log what was counted at the door in hours that are over."""
    tell_counts(at=at)
    mail_head()


def _subject() -> str:
    said = {"line": current_head().seq, "house": House.present().name}
    words = _("Log of %(house)s: line %(line)s") % said
    return " ".join(words.split())  # a line break would begin another header


def _text() -> str:
    head = current_head()
    said = {
        "house": House.present().name,
        "when": date_format(timezone.localtime(), "DATETIME_FORMAT"),
        "line": head.seq,
        "short": head.short,
        "whole": head.sha256,
    }
    return (
        _(
            "The log of %(house)s, %(when)s\n\n"
            "Line: %(line)s\nHead: %(short)s\nWhole: %(whole)s\n\n"
            "Please keep this message. Whoever holds it can prove later that nothing which stood "
            "in the log on that day was changed: on the page “The head of the log”, or by the "
            "command verify_log --head."
        )
        % said
    )
