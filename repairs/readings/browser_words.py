"""What the sheet says into which readings are typed."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.screens.browser_words import SERVER, UNDO
from repairs.screens.scripts import Words, register

ENTRY: Words = {
    "rows.full": _("The table takes no more than %(count)s rows."),
    "number.wrong": _("Not a number"),
    "number.sign": _("Change the sign"),
    "pad.label": _("Figure keys"),
    "pad.place": _("%(place)s of %(count)s"),
    "pad.next": _("Next"),
    "pad.back": _("Back"),
    "pad.delete": _("Delete the last figure"),
    "pad.comma": _("Decimal point"),
    "pad.whole": _("Show the whole table"),
    "pad.one": _("One at a time"),
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
