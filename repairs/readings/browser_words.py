"""What the sheet says into which readings are typed."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.screens.browser_words import SERVER, UNDO
from repairs.screens.scripts import Words, register

ENTRY: Words = {
    "rows.full": _("The table takes no more than %(count)s rows."),
    "number.wrong": _("Not a number"),
    "number.sign": _("Change the sign"),
    "paste.filled.one": _("%(count)s cell filled."),
    "paste.filled.other": _("%(count)s cells filled."),
    "paste.heading": _("The heading line was left out."),
    "paste.left.one": _("%(count)s value had no place here and was left out."),
    "paste.left.other": _("%(count)s values had no place here and were left out."),
    "trial.offline": _("Not computed: the network is away."),
    "trial.older": _("What stands below comes from earlier values."),
}

register("readings.js", ENTRY, SERVER, UNDO)
# What is ticked on a card stays on this device; the script says nothing.
register("ticks.js", {})
