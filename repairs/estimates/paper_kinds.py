"""The kinds of paper that this room makes."""

from django.utils.translation import gettext_lazy as _

from repairs.press.kinds import register

ESTIMATE = register("estimate", _("estimate"))
