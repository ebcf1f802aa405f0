"""What is seen on a photo, in words, for someone who cannot see it."""

from __future__ import annotations

from django.utils.translation import gettext as _

from repairs.language.text import in_language, labelled, lower_first
from repairs.photos.models import Photo


def seen_words(photo: Photo) -> str:
    """What the view asks for: the caption is read out beside it and would be heard twice."""
    views = photo.case.instrument.pattern.views
    hint = next((in_language(view.hint) for view in views if view.slug == photo.view), "")
    if not hint:
        return _("Photograph; its caption says what it shows")
    return labelled(_("Photograph, taken as its view asks"), lower_first(hint.rstrip(".")))
