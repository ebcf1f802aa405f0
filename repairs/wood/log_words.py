"""What the log says of the wood store, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "wood.entered": _("entered piece %(number)s into the wood store"),
    "wood.changed": _("changed a piece of wood"),
    "wood.tested": _("tested a piece of wood"),
    "wood.taken": _("took wood off the piece (withdrawal %(withdrawal)s)"),
    "wood.put_back": _("put wood back (withdrawal %(withdrawal)s)"),
    "wood.offcut_made": _("cut offcut %(offcut)s"),
    "wood.used_up": _("noted that the piece is used up"),
    "wood.reopened": _("opened the piece again"),
}
