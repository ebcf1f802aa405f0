"""What the log says of findings and the look over, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import DetailWords, VerbWords
from repairs.findings.vocabulary import term_label

WORDS: VerbWords = {
    "tag.bound": _("bound a tag to finding %(finding)s"),
    "finding.noted": _("noted finding %(finding)s: %(term_label)s"),
    "finding.changed": _("changed finding %(finding)s: %(term_label)s"),
    "finding.withdrawn": _("withdrew finding %(finding)s"),
    "finding.put_back": _("put finding %(finding)s back"),
    "map.laid": _("laid the map of parts over photo %(photo)s"),
    "map.lifted": _("took the map of parts off photo %(photo)s"),
    "parts.looked_at": _("noted which parts were looked at"),
    "examination.saved": _("wrote the general judgement"),
}
# Details that are keys, and the name under which the words take what they mean.
DETAILS: DetailWords = {"term": ("term_label", term_label)}
