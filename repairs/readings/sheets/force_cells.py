"""What the sheet of the wheel's force asks for."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Cell

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
        "diameter_mm",
        _("diameter of the wheel"),
        "mm",
        required=False,
        least=50,
        most=300,
        likely=(120, 190),
    ),
)
COLUMNS = (
    Cell("name", _("string"), kind="text", index=True),
    Cell(
        "lift_mm",
        _("lift at the wheel, without cotton"),
        "mm",
        least=0.01,
        most=20,
        likely=(0.2, 3),
    ),
    Cell("tension_n", _("tension"), "N", required=False, least=0.05, most=500, likely=(15, 120)),
    Cell(
        "length_mm",
        _("speaking length"),
        "mm",
        required=False,
        least=100,
        most=1000,
        likely=(300, 430),
    ),
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
