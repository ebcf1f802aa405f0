"""The cells and columns of the bowing window's sheet."""

from __future__ import annotations

from dataclasses import replace

from django.utils.translation import gettext_lazy as _

from repairs.readings.pitches import FORK_CELL, pitch_cell
from repairs.readings.sheets.base import Cell, Text
from repairs.readings.sheets.rubbed_cells import CRANK, DIAMETER, FROM_BRIDGE, LENGTH, LIFT, TENSION

SOUNDS: tuple[tuple[str, Text], ...] = (
    ("speaks", _("speaks")),
    ("chokes", _("chokes")),
    ("weak", _("is weak or whistles")),
)
CELLS = (
    Cell("string", _("string"), kind="text"),
    TENSION,
    LENGTH,
    FORK_CELL,
    pitch_cell(_("pitch of the open string"), (60, 700)),
    FROM_BRIDGE,
    replace(LIFT, required=False),
    replace(DIAMETER, key="wheel_mm"),
    CRANK,
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
