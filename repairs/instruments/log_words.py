"""What the log says of instruments and their parts, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "instrument.entered": _("entered instrument %(number)s"),
    "instrument.changed": _("changed instrument %(number)s"),
    "instrument.parts_described": _("described parts of the instrument"),
    "instrument.part_added": _("added a part to the instrument"),
    "instrument.usual_materials": _("took over the usual materials of its parts"),
    "hazard.noted": _("noted a hazard of the instrument"),
    "hazard.lifted": _("lifted a hazard of the instrument"),
}
