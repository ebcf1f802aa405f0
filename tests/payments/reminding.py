"""A reminder issued so many days from now."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone

from repairs.invoices.models import Invoice
from repairs.payments.models import Reminder
from repairs.payments.reminders import issue_reminder


def remind(invoice: Invoice, helene, days: int = 0) -> Reminder:
    return issue_reminder(invoice, by=helene, at=timezone.now() + dt.timedelta(days=days))
