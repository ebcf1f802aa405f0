"""What the log says of causes, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import DetailWords, VerbWords
from repairs.causes.tables import labels_anywhere

WORDS: VerbWords = {"cause.said": _("said what it was: %(causes_labels)s")}
DETAILS: DetailWords = {
    "causes": ("causes_labels", lambda keys: labels_anywhere(str(keys).split())),
}
