"""What the log says of payments, reminders and what was sent, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "payment.noted": _("noted a payment"),
    "payment.reversed": _("reversed the entry of a payment"),
    "invoice.reminded": _("reminded of an invoice"),
    "paper.sending": _("began to send a paper"),
    "paper.sent": _("sent a paper"),
    "paper.not_sent": _("could not send a paper"),
}
