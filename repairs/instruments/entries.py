"""The fields of an instrument in the order in which they are asked for.

A new one is a line in the model and one here. “Sizes” end with those of the kind, which the form
adds for each instrument.
"""

from __future__ import annotations

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.instruments.models import Instrument
from repairs.money import money_words
from repairs.screens.entries import Entry, Group


def _left_handed(instrument: Instrument) -> str:
    """Said only where it is so: that an instrument is like the others is no news."""
    return gettext("yes") if instrument.left_handed else ""


def _declared(instrument: Instrument) -> str:
    return money_words(instrument.declared_value, instrument.currency)


IDENTITY = Group(
    _("What it is"),
    (
        Entry("name"),
        Entry("serial", shown=("page",)),
        Entry("hs_number"),
        Entry("key_count", shown=("page",), label=_("Keys")),
        Entry("left_handed", shown=("page", "receipt", "report"), said=_left_handed),
    ),
)
ORIGIN = Group(
    _("Maker, place, date"),
    (
        Entry("maker"),
        Entry("maker_surety"),
        Entry("place_made"),
        Entry("date_text"),
        Entry("label_text", lines=4, wide=True, shown=("page",), label=_("Label")),
        Entry("marks", lines=2, wide=True, shown=("page",), label=_("Marks")),
    ),
)
SIZES = Group(_("Sizes"), (Entry("mass_g"),))
COMPANY = Group(
    _("What comes with it"),
    (
        Entry("accessories", lines=3, shown=("page",), label=_("Accessories")),
        Entry("missing", lines=2, shown=("page",), label=_("Missing parts")),
    ),
)
HISTORY = Group(
    _("Value and history"),
    (
        Entry(
            "declared_value",
            shown=("page",),
            label=_("Declared value"),
            said=_declared,
            is_price=True,
        ),
        Entry("provenance", lines=2, wide=True, shown=("page",), label=_("History")),
        Entry("restrictions", lines=2, wide=True, shown=("page",), label=_("Restrictions")),
    ),
)
GROUPS = (IDENTITY, ORIGIN, SIZES, COMPANY, HISTORY)
