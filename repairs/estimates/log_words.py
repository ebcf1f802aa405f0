"""What the log says of estimates and the owner’s decisions, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import DetailWords, VerbWords, label_of
from repairs.estimates.consent_models import Consent

WORDS: VerbWords = {
    "estimate.written": _("wrote version %(version)s of the estimate"),
    "estimate.changed": _("changed version %(version)s of the estimate"),
    "estimate.issued": _("issued version %(version)s of the estimate"),
    "estimate.withdrawn": _("withdrew version %(version)s of the estimate"),
    "consent.link_made": _("made a link for the owner’s decision on version %(version)s"),
    "consent.link_revoked": _("revoked the link for version %(version)s"),
    "consent.link_file_taken_out": _(
        "by the owner’s link of version %(version)s: took out the paper, or a photo on it"
    ),
    "consent.given": _("noted the owner’s decision %(consent)s: %(decision_label)s"),
}
# Details that are keys, and the name under which the words take what they mean.
DETAILS: DetailWords = {"decision": ("decision_label", label_of(Consent.Decision))}
