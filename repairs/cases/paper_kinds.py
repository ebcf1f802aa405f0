"""The kinds of paper that this room makes."""

from django.utils.translation import gettext_lazy as _

from repairs.press.kinds import register

INTAKE_RECEIPT = register("intake_receipt", _("intake receipt"))
