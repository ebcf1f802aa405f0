"""Reminders on paper: three levels, each firmer than the last, with what the law lets one ask."""

from __future__ import annotations

import datetime as dt
from functools import partial

from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.audit.actions import record
from repairs.invoices.models import Invoice
from repairs.payments.claims import Claim, claim
from repairs.payments.models import Reminder
from repairs.payments.paper_kinds import REMINDER
from repairs.payments.refusals import ReminderRefusedError
from repairs.payments.reminder_letter import reminder_sheet
from repairs.people.models import User
from repairs.press.actions import issue, propose_seal
from repairs.press.models import Paper


def issue_reminder(invoice: Invoice, *, by: User, at: dt.datetime) -> Reminder:
    """Issue the next reminder of the invoice on paper. Raises ReminderRefusedError."""
    day = timezone.localtime(at).date()
    asked = claim(invoice, day)
    subject = f"{invoice.log_key}:{asked.level}"
    seal = propose_seal(REMINDER, subject, by=by, at=at)
    sheet = reminder_sheet(invoice, asked, made_at=at, seal=seal)
    hold, keep = partial(_hold, invoice, asked, at), partial(_keep, invoice, asked, by, at)
    paper = issue(sheet, by=by, hold=hold, also=keep)
    return paper.reminder


def _hold(invoice: Invoice, asked: Claim, at: dt.datetime) -> None:
    """Inside the transaction, before the paper is written: what is claimed must still be so."""
    held = Invoice.objects.select_for_update().get(pk=invoice.pk)
    if claim(held, timezone.localtime(at).date()) != asked:
        raise ReminderRefusedError(why=_("a payment was noted meanwhile. Look again."))


def _keep(invoice: Invoice, asked: Claim, by: User, at: dt.datetime, paper: Paper) -> None:
    Reminder.objects.create(
        invoice=invoice,
        level=asked.level,
        open_amount=asked.open_amount,
        penalty=asked.penalty,
        fee=asked.fee,
        paper=paper,
        issued_on=timezone.localtime(at).date(),
    )
    record(by, "invoice.reminded", invoice, at=at, level=asked.level)
