"""The kinds of paper that this room makes."""

from django.utils.translation import gettext_lazy as _

from repairs.press.kinds import register

CONSENT_RECORD = register("consent_record", _("consent record"))
