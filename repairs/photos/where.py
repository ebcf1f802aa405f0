"""Where on a photo a mark lies, in words: what someone hears who cannot see it."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy

from repairs.language.text import semicolons
from repairs.photos.overlay import Mark

PLACES = (
    (
        pgettext_lazy("place on a photo", "at the upper left"),
        pgettext_lazy("place on a photo", "at the top"),
        pgettext_lazy("place on a photo", "at the upper right"),
    ),
    (
        pgettext_lazy("place on a photo", "on the left"),
        pgettext_lazy("place on a photo", "in the middle"),
        pgettext_lazy("place on a photo", "on the right"),
    ),
    (
        pgettext_lazy("place on a photo", "at the lower left"),
        pgettext_lazy("place on a photo", "at the bottom"),
        pgettext_lazy("place on a photo", "at the lower right"),
    ),
)


def marks_words(marks: Iterable[Mark]) -> str:
    """“Mark 1 at the upper left; mark 2 in the middle”; empty where there is none."""
    words = semicolons(
        _("mark %(number)s %(where)s") % {"number": mark.number, "where": place_words(mark)}
        for mark in marks
    )
    return words[:1].upper() + words[1:]


def place_words(mark: Mark) -> str:
    """In which ninth of the photo the middle of the mark lies."""
    x, y = mark.middle
    return str(PLACES[_third(y)][_third(x)])


def _third(share: float) -> int:
    return min(2, max(0, int(share * 3)))
