"""What the log says of drafts, invoices and credit notes, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "invoice.drafted": _("drafted an invoice"),
    "invoice.draft_changed": _("changed the draft of an invoice"),
    "invoice.draft_discarded": _("threw the draft of an invoice away"),
    "credit.drafted": _("drafted a credit note on invoice %(invoice)s"),
    "invoice.issued": _("issued the invoice"),
    "payment.set_off": _("set a credit note off against its invoice"),
}
