"""Where limits come from, in the reader’s language; one without words stays as it is."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Text

SOURCES: Mapping[str, Text] = {
    "Mecklenburg, Tumosa & Erhardt 1998, yield across the grain (from memory)": _(
        "Mecklenburg, Tumosa & Erhardt 1998, yield across the grain"
    ),
    "common practice": _("common practice"),
    "common practice (both at once; figure of the house)": _(
        "common practice, both at once; figure of the house"
    ),
    "common practice, figure of the house": _("common practice, figure of the house"),
    "friction: the key must slide": _("friction: the key must slide"),
    "common practice: 2 cents at the octave of 345 mm": _(
        "common practice: 2 cents at the octave of 345 mm"
    ),
    "common practice: both tangents touch at once": _(
        "common practice: both tangents touch at once"
    ),
    "common practice: half of the run-out": _("common practice: half of the run-out"),
    "common practice: strings stand one to three semitones below": _(
        "common practice: strings stand one to three semitones below"
    ),
    "geometry: it must not touch": _("geometry: it must not touch"),
    "geometry: the key must go far enough": _("geometry: the key must go far enough"),
    "geometry: the whole string on the flag": _("geometry: the whole string on the flag"),
    "no figure found; the house may set one": _("no figure found; the house may set one"),
    "not judged unless the house sets a limit": _("not judged unless the house sets a limit"),
}


def source_words(source: str) -> str:
    """A source in the reader’s language; a published work is cited as it stands."""
    return str(SOURCES.get(source, source))
