"""What the sheet of the wheel's force asks for."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Cell
from repairs.readings.sheets.rubbed_cells import CRANK, DIAMETER, FROM_BRIDGE, LENGTH, LIFT, TENSION

# Of 24 places of a dial read to half a division: 0.005·√(2/24), rounded up for the hand.
USUAL_U_MM = 0.002
LOBES = ((1, "ecc"), (2, "oval"), (3, "three"))
AMPLITUDE: dict[str, Any] = {"required": False, "least": 0, "most": 5, "likely": (0, 0.3)}
ANGLE: dict[str, Any] = {"required": False, "least": -360, "most": 360}
CELLS = (
    Cell("ecc_mm", _("eccentricity"), "mm", help=_("Half of what it runs out."), **AMPLITUDE),
    Cell("ecc_at_deg", _("its high spot, from the crank’s mark"), "°", **ANGLE),
    Cell("oval_mm", _("ovality, amplitude"), "mm", **AMPLITUDE),
    Cell("oval_at_deg", _("a high spot of the oval"), "°", **ANGLE),
    Cell("three_mm", _("three lobes, amplitude"), "mm", **AMPLITUDE),
    Cell("three_at_deg", _("a high spot of the three lobes"), "°", **ANGLE),
    Cell(
        "u_amp_mm",
        _("standard uncertainty of these amplitudes"),
        "mm",
        required=False,
        least=0,
        most=1,
        likely=(0.0005, 0.02),
        help=_("0.002 mm where nothing is typed: 24 places of a dial of 0.01 mm."),
    ),
    CRANK,
    replace(DIAMETER, required=False),
)
COLUMNS = (
    Cell("name", _("string"), kind="text", index=True),
    LIFT,
    replace(TENSION, required=False),
    replace(LENGTH, required=False),
    replace(FROM_BRIDGE, required=False),
)
