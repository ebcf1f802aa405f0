"""The kinds of paper that this room makes."""

from django.utils.translation import gettext_lazy as _

from repairs.press.kinds import register

REMINDER = register("reminder", _("reminder"))
STATEMENT = register("statement", _("statement of account"))
