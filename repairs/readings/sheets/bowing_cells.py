"""The cells and columns of the bowing window's sheet."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.readings.pitches import FORK_CELL, pitch_cell
from repairs.readings.sheets.base import Cell, Text

SOUNDS: tuple[tuple[str, Text], ...] = (
    ("speaks", _("speaks")),
    ("chokes", _("chokes")),
    ("weak", _("is weak or whistles")),
)
CELLS = (
    Cell("string", _("string"), kind="text"),
    Cell("tension_n", _("tension"), "N", least=0.05, most=500, likely=(15, 120)),
    Cell("length_mm", _("speaking length"), "mm", least=100, most=1000, likely=(300, 430)),
    FORK_CELL,
    pitch_cell(_("pitch of the open string"), (60, 700)),
    Cell("from_bridge_mm", _("wheel, from the bridge"), "mm", least=1, most=200, likely=(10, 60)),
    Cell(
        "lift_mm",
        _("lift at the wheel, without cotton"),
        "mm",
        required=False,
        least=0.01,
        most=20,
        likely=(0.2, 3),
    ),
    Cell("wheel_mm", _("diameter of the wheel"), "mm", least=50, most=300, likely=(120, 190)),
    Cell(
        "turns_per_min",
        _("crank, as it is turned"),
        _("turns/min"),
        required=False,
        least=5,
        most=400,
        likely=(30, 120),
        default="60",
    ),
    Cell(
        "highest",
        _("highest key"),
        required=False,
        least=1,
        most=60,
        likely=(12, 30),
        help=_("Keys whose place is not typed are taken in equal temperament."),
    ),
    Cell(
        "friction",
        _("friction lost from sticking to slipping"),
        required=False,
        least=0.05,
        most=1.5,
        likely=(0.2, 0.9),
        help=_("0.5 ± 0.15 where nothing is typed; rosin fresh and rich makes it more."),
    ),
    Cell(
        "resistance_kg_s",
        _("resistance of the bridge"),
        "kg/s",
        required=False,
        least=1,
        most=1000,
        likely=(5, 200),
        help=_("30, within a factor of two, where nothing is typed."),
    ),
)
COLUMNS = (
    Cell("key", _("key"), least=1, most=60, index=True),
    Cell("at_mm", _("place from the nut"), "mm", required=False, least=0.1, most=1000),
    Cell("sound", _("heard"), kind="choice", required=False, choices=SOUNDS),
)
