"""What the log says of photos and the tags on them, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "photo.added": _("added photo %(photo)s"),
    "photo.failed": _("photo %(photo)s could not be developed; its file is kept"),
    "photo.tried_again": _("had photo %(photo)s developed once more"),
    "photo.refused": _("sent a file as photo %(photo)s that could not be kept"),
    "photo.described": _("described photo %(photo)s"),
    "photo.withdrawn": _("withdrew photo %(photo)s"),
    "photo.put_back": _("put photo %(photo)s back"),
    "tag.drawn": _("drew a tag on photo %(photo)s"),
    "tag.moved": _("moved a tag on photo %(photo)s"),
    "tag.withdrawn": _("withdrew a tag of photo %(photo)s"),
    "tag.put_back": _("put a tag of photo %(photo)s back"),
}
