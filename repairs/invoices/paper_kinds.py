"""The kinds of paper that this room makes."""

from django.utils.translation import gettext_lazy as _

from repairs.press.kinds import register

INVOICE = register("invoice", _("invoice"))
CREDIT_NOTE = register("credit_note", _("credit note"))
