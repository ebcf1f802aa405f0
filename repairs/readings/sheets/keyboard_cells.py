"""What the keyboard's sheet asks for: the strings, then key by key."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit
from repairs.gauges.keys.temperament import TEMPERAMENTS
from repairs.gauges.keys.tempered import AS_FOUND
from repairs.readings.sheets.base import (
    Cell,
    Text,
)
from repairs.readings.sheets.strings import MATERIAL_CELL

NAMES: Mapping[str, Text] = {
    "equal": _("equal"),
    "just": _("just, on the drone"),
    "pythagorean": _("Pythagorean"),
    "meantone": _("quarter-comma meantone"),
    "werckmeister_iii": _("Werckmeister III"),
    "kirnberger_iii": _("Kirnberger III"),
}
FAMILY_NAMES: Mapping[str, Text] = {
    "comma_1_8": _("meantone of an eighth of a comma"),
    "comma_1_6": _("meantone of a sixth of a comma"),
    "comma_1_5": _("meantone of a fifth of a comma"),
    "comma_2_7": _("meantone of two sevenths of a comma"),
    "comma_1_3": _("meantone of a third of a comma"),
}
STRINGS: Mapping[str, Text] = {
    "first": _("first chanterelle"),
    "second": _("second chanterelle"),
}


def named(string: str) -> str:
    """The string in the reader's language; the gauge knows it by the name of its column."""
    return str(STRINGS.get(string, string))


KINDS: Mapping[str, Text] = {
    "off_wanted": _("deviation from the wanted note"),
    "off_equal": _("deviation from equal temperament, as a tuner shows it"),
    "above_open": _("cents above the open string"),
}
SCALE = Limit(-0.4, 0.4, "mm", COMMON_PRACTICE + ": 2 cents at the octave of 345 mm")
ONE_PIECE = "one_piece"
CELLS = (
    Cell("length_mm", _("speaking length"), "mm", least=100, most=1000, likely=(300, 430)),
    Cell(
        "temperament",
        _("temperament wanted"),
        kind="choice",
        choices=(
            *((key, NAMES[key]) for key in TEMPERAMENTS),
            (AS_FOUND, _("the one that it is found in")),
        ),
        default="just",
    ),
    Cell(
        "retemper",
        _("move it to this temperament, even if it is found in another"),
        kind="tick",
        required=False,
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
    Cell(
        "tension_n",
        _("tension of the string, for what pressing adds"),
        "N",
        required=False,
        least=1,
        most=300,
        likely=(15, 120),
    ),
    Cell(
        "diameter_mm",
        _("diameter of the strings"),
        "mm",
        required=False,
        least=0.1,
        most=5,
        likely=(0.2, 1.5),
    ),
    MATERIAL_CELL,
    Cell(
        "total_mm",
        _("whole length of the string, tailpiece to peg"),
        "mm",
        required=False,
        least=100,
        most=2000,
        likely=(350, 800),
    ),
    Cell(
        "push_mm",
        _("how far a key pushes the string"),
        "mm",
        required=False,
        least=0.1,
        most=20,
        likely=(0.5, 4),
    ),
)
COLUMNS = (
    Cell("key", _("key"), least=0, most=60, index=True),
    Cell("first", STRINGS["first"], "cents", least=-3000, most=3000, melody=1),
    Cell("second", STRINGS["second"], "cents", required=False, least=-3000, most=3000, melody=2),
    Cell("firm_1", _("firm press 1"), "cents", required=False, seldom=True, least=-3000, most=3000),
    Cell("firm_2", _("firm press 2"), "cents", required=False, seldom=True, least=-3000, most=3000),
    Cell(
        "gap_1", _("gap 1"), "mm", required=False, seldom=True, least=-1, most=20, likely=(0.3, 4)
    ),
    Cell(
        "gap_2", _("gap 2"), "mm", required=False, seldom=True, least=-1, most=20, likely=(0.3, 4)
    ),
    Cell(
        "room_mm",
        _("room for the swinging string"),
        "mm",
        required=False,
        seldom=True,
        least=0,
        most=10,
        likely=(0.3, 3.5),
    ),
    Cell(
        "fixed_double",
        _("both tangents"),
        kind="choice",
        required=False,
        seldom=True,
        choices=((ONE_PIECE, _("of one piece")),),
    ),
)
