"""What the bench says while steps are tapped."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.screens.browser_words import SERVER
from repairs.screens.scripts import Words, register

TAPS: Words = {
    "taps.count": _("%(done)s of %(all)s steps noted"),
    "taps.said.done": pgettext_lazy("step", "done"),
    "taps.said.otherwise": _("done otherwise"),
    "taps.said.left_out": _("left out"),
    "taps.said.open": _("open again"),
    "taps.here": _("kept on this phone"),
    "taps.kept.one": _("Kept on this phone, %(count)s to be sent."),
    "taps.kept.other": pgettext_lazy("several", "Kept on this phone, %(count)s to be sent."),
    "taps.unkept": _(
        "This phone keeps nothing: leave this page open until the network has taken your taps."
    ),
    "taps.through": _("✓ Everything is noted."),
    "taps.refused": _("Step %(number)s (%(what)s) was not noted: %(reason)s"),
    "taps.let_go": _("Let it go"),
}

register("taps.js", TAPS, SERVER)
