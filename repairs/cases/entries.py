"""The fields of an intake in the order of the talk at the counter.

A new one is a line in the model and one here. What the papers word in their own way (leaves,
values, dates) is named by them and not ``shown`` here.
"""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.screens.entries import Entry, Group, names

WHY = Group(
    _("Why it comes"),
    (Entry("reason"), Entry("promised_on"), Entry("owner_words", lines=4, wide=True)),
)
RECEIVED = Group(
    _("What is received"),
    (
        Entry("state_at_intake", lines=3, wide=True),
        Entry("received_items", lines=2, wide=True),
        Entry("received_at"),
        Entry("place"),
        Entry("room_t_c"),
        Entry("room_rh_pct"),
    ),
)
LEAVE = Group(
    _("What may be done with it"),
    (
        Entry("may_turn"),
        Entry("may_string"),
        Entry("may_play"),
        Entry("leave_decided_by"),
        Entry("consumables_kept"),
    ),
)
BRINGER = Group(
    _("Who brings it"),
    (
        Entry("bringer_name"),
        Entry("bringer_contact"),
        Entry("bringer_may_agree"),
        Entry("title_proof"),
    ),
)
VALUE = Group(
    _("Value and liability"),
    (Entry("insured_value"), Entry("liability"), Entry("review_on")),
)
GROUPS = (WHY, RECEIVED, LEAVE, BRINGER, VALUE)
INTAKE_FIELDS = names(GROUPS)
