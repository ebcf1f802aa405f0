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
    "person.password_changed": _("changed the password of a person"),
    "person.signed_in": _("signed in"),
    "person.signed_out": _("signed out"),
    "person.refused": _("somebody was not let in"),
    "person.refused.counted": _("somebody was not let in %(count)s times within an hour"),
    "client.looked_at": _("looked at what is kept of a client"),
    "house.went_on": _("went on from an older database, after the numbers that were known"),
    "numbers.looked_at": _("confirmed after a restore that the last number was %(last)s"),
    "rows.vouched": _("kept rows for which nothing else was said"),
    "rows.vouched_from_here": _("vouches from here on for %(count)s rows that stood already"),
    "values.erased": _("erased personal values"),
}
# Details that are keys, and the name under which the words take what they mean.
DETAILS: DetailWords = {"purpose": ("purpose_label", label_of(DataConsent.Purpose))}
