"""What the keyboard's sheet asks for: the strings, then key by key."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit
from repairs.gauges.keys.temperament import TEMPERAMENTS
from repairs.readings.sheets.base import (
    Cell,
    Text,
)

NAMES: Mapping[str, Text] = {
    "equal": _("equal"),
    "just": _("just, on the drone"),
    "pythagorean": _("Pythagorean"),
    "meantone": _("quarter-comma meantone"),
    "werckmeister_iii": _("Werckmeister III"),
    "kirnberger_iii": _("Kirnberger III"),
}
STRINGS: Mapping[str, Text] = {
    "first": _("first chanterelle"),
    "second": _("second chanterelle"),
}
KINDS: Mapping[str, Text] = {
    "off_wanted": _("deviation from the wanted note"),
    "off_equal": _("deviation from equal temperament, as a tuner shows it"),
    "above_open": _("cents above the open string"),
}
SCALE = Limit(-0.4, 0.4, "mm", COMMON_PRACTICE + ": 2 cents at the octave of 345 mm")
CELLS = (
    Cell("length_mm", _("speaking length"), "mm", least=100, most=1000, likely=(300, 430)),
    Cell(
        "temperament",
        _("temperament wanted"),
        kind="choice",
        choices=tuple((key, NAMES[key]) for key in TEMPERAMENTS),
        default="just",
    ),
    Cell("scl", _("or a Scala .scl file, pasted"), kind="long", required=False),
    Cell(
        "reading",
        _("the cents are"),
        kind="choice",
        choices=tuple(KINDS.items()),
        default="off_equal",
    ),
    Cell(
        "open_cents",
        _("what the tuner shows of the open string"),
        "cents",
        required=False,
        least=-100,
        most=100,
        likely=(-30, 30),
    ),
    Cell(
        "offset_mm",
        _("offset of a flag from its pin"),
        "mm",
        required=False,
        least=0,
        most=10,
        likely=(0.5, 5),
    ),
    Cell(
        "u_cents",
        _("uncertainty of one reading"),
        "cents",
        required=False,
        least=0.05,
        most=50,
        likely=(0.2, 5),
    ),
)
COLUMNS = (
    Cell("key", _("key"), least=0, most=60, index=True),
    Cell("first", STRINGS["first"], "cents", least=-3000, most=3000, melody=1),
    Cell("second", STRINGS["second"], "cents", required=False, least=-3000, most=3000, melody=2),
)
