"""What the log says of procedures, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "procedure.reworded": _("worded the procedure anew, version %(version)s"),
}
