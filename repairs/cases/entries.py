"""The fields of an intake in the order of the talk at the counter.

A new one is a line in the model and one here. What is asked of everybody stands first; the groups
after it lie folded until they matter. What the papers word in their own way (leaves, values,
dates) is named by them and not ``shown`` here.
"""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.screens.entries import Entry, Group, names

TALK = Group(
    _("What is said and seen"),
    (
        Entry("reason"),
        Entry("place"),
        Entry("owner_words", lines=2, wide=True),
        Entry("state_at_intake", lines=3, wide=True),
        Entry("received_items", lines=2, wide=True),
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
    _("Who brings it, value"),
    (
        Entry("bringer_name"),
        Entry("bringer_contact"),
        Entry("bringer_may_agree"),
        Entry("title_proof"),
        Entry("insured_value"),
        Entry("liability"),
    ),
)
DAYS = Group(
    _("Days, air of the room"),
    (
        Entry("received_at"),
        Entry("promised_on"),
        Entry("review_on"),
        Entry("room_t_c"),
        Entry("room_rh_pct"),
    ),
)
FOLDED = (LEAVE, BRINGER, DAYS)
GROUPS = (TALK, *FOLDED)
INTAKE_FIELDS = names(GROUPS)
