"""What the log says of clients, the house and its people, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import DetailWords, VerbWords, label_of
from repairs.people.models import DataConsent

WORDS: VerbWords = {
    "client.entered": _("entered a client"),
    "client.changed": _("changed a client"),
    "client.consented": _("noted what a client allows to be kept or shown (%(purpose_label)s)"),
    "client.consent_withdrawn": _("noted that a client allows it no more (%(purpose_label)s)"),
    "house.changed": _("changed what the workshop says of itself"),
    "person.hired": _("let a person in"),
    "person.changed": _("changed what a person may do"),
}
# Details that are keys, and the name under which the words take what they mean.
DETAILS: DetailWords = {"purpose": ("purpose_label", label_of(DataConsent.Purpose))}
