"""What is typed into the finishing check: cells, columns of each key, names of the checks."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import (
    Cell,
    Text,
)

RETURNS: tuple[tuple[str, Text], ...] = (
    ("free", _("falls freely")),
    ("slow", _("falls slowly")),
    ("sticks", _("sticks")),
)


def height(key: str, label: Text, *, required: bool = True) -> Cell:
    return Cell(key, label, "mm", required=required, least=-100, most=300, likely=(1, 80))


CELLS = (
    Cell("length_mm", _("speaking length"), "mm", least=100, most=1000, likely=(300, 430)),
    height("nut_1", _("first string at the nut, underside")),
    height("bridge_1", _("first string at the bridge, underside")),
    height("nut_2", _("second string at the nut, underside"), required=False),
    height("bridge_2", _("second string at the bridge, underside"), required=False),
    Cell(
        "diameter_mm",
        _("diameter of the strings"),
        "mm",
        required=False,
        least=0.1,
        most=5,
        likely=(0.4, 1.5),
    ),
    Cell(
        "amplitude_mm",
        _("how far an open string swings, to one side"),
        "mm",
        required=False,
        least=0,
        most=5,
        likely=(0.1, 2),
    ),
    Cell(
        "spacing_nut_mm",
        _("between the strings at the nut"),
        "mm",
        required=False,
        least=1,
        most=100,
        likely=(5, 30),
    ),
    Cell(
        "spacing_bridge_mm",
        _("between the strings at the bridge"),
        "mm",
        required=False,
        least=1,
        most=100,
        likely=(5, 30),
    ),
    height("lid_mm", _("underside of the closed lid"), required=False),
    height("wall_mm", _("slot of the wall towards the wheel, its bottom"), required=False),
    Cell("wall_at_mm", _("that wall, from the nut"), "mm", required=False, least=1, most=1000),
    height("rim_mm", _("top of the wheel’s rim"), required=False),
    Cell(
        "from_bridge_mm",
        _("wheel, from the bridge"),
        "mm",
        required=False,
        least=1,
        most=200,
        likely=(10, 60),
    ),
)


COLUMNS = (
    Cell("key", _("key"), least=1, most=60, index=True),
    Cell("at_1", _("place 1"), "mm", least=0.1, most=1000),
    Cell("at_2", _("place 2"), "mm", required=False, least=0.1, most=1000),
    Cell("gap_1", _("gap 1"), "mm", least=-5, most=20, likely=(0.3, 4)),
    Cell("gap_2", _("gap 2"), "mm", required=False, least=-5, most=20, likely=(0.3, 4)),
    height("flag_low_mm", _("flag, lower edge"), required=False),
    height("flag_high_mm", _("flag, upper edge"), required=False),
    Cell("travel_mm", _("travel"), "mm", required=False, least=0, most=20, likely=(0.5, 12)),
    Cell("side_play_mm", _("side play"), "mm", required=False, least=0, most=20, likely=(0, 1)),
    Cell("returns", _("return"), kind="choice", required=False, choices=RETURNS),
)


KINDS: Mapping[str, Text] = {
    "rest_gap": _("gap at rest"),
    "together": _("both strings met together"),
    "clear_own": _("room for the swinging string"),
    "clear_other": _("room beside the other string"),
    "reach": _("the key goes far enough"),
    "flag_low": _("string above the flag’s lower edge"),
    "flag_high": _("string below the flag’s upper edge"),
    "shank": _("room over the shank"),
    "wall": _("room over the wall"),
    "lid": _("room under the lid"),
    "wheel_edge": _("room over the wheel’s edge"),
    "side_play": _("side play of the key"),
    "returns": _("free return of the key"),
}
