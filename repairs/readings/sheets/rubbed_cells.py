"""What sheets ask of a string on the wheel, and of the crank: one cell each, whoever asks."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Cell

TENSION = Cell("tension_n", _("tension"), "N", least=0.05, most=500, likely=(15, 120))
LENGTH = Cell("length_mm", _("speaking length"), "mm", least=100, most=1000, likely=(300, 430))
FROM_BRIDGE = Cell(
    "from_bridge_mm", _("wheel, from the bridge"), "mm", least=1, most=200, likely=(10, 60)
)
LIFT = Cell(
    "lift_mm", _("lift at the wheel, without cotton"), "mm", least=0.01, most=20, likely=(0.2, 3)
)
DIAMETER = Cell(
    "diameter_mm", _("diameter of the wheel"), "mm", least=50, most=300, likely=(120, 190)
)
CRANK = Cell(
    "turns_per_min",
    _("crank, as it is turned"),
    _("turns/min"),
    required=False,
    least=5,
    most=400,
    likely=(30, 120),
    default="60",
)
