"""What the wheel's sheet asks for, and the words of its warnings."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit
from repairs.readings.sheets.base import (
    Cell,
    Text,
)

STEP_DEG = 15
ECC = Limit(None, 0.025, "mm", COMMON_PRACTICE + ": half of the run-out")
OVAL = Limit(None, 0.025, "mm", COMMON_PRACTICE + ": half of the run-out")
ROUND = Limit(None, 0.05, "mm", COMMON_PRACTICE)
SCALES = {"mm": 1.0, "hundredths": 0.01, "microns": 0.001}
CELLS = (
    Cell(
        "mean_diameter_mm",
        _("diameter of the wheel"),
        "mm",
        least=60,
        most=400,
        likely=(140, 200),
        help=_("Mean of a few directions, with the calliper."),
    ),
    Cell(
        "scale",
        _("the dial is typed in"),
        kind="choice",
        choices=(
            ("mm", _("millimetres")),
            ("hundredths", _("hundredths of a millimetre")),
            ("microns", _("thousandths of a millimetre")),
        ),
        default="hundredths",
    ),
    Cell(
        "sign",
        _("the dial grows when the rim comes"),
        kind="choice",
        choices=(("1", _("towards the dial (outwards)")), ("-1", _("away from it"))),
        default="1",
    ),
    Cell(
        "start_deg",
        _("angle of the first reading from the crank’s mark"),
        "°",
        required=False,
        least=-360,
        most=360,
    ),
    Cell(
        "gauge_sigma_mm",
        _("repeatability of the dial"),
        "mm",
        required=False,
        least=0.0001,
        most=0.1,
        likely=(0.001, 0.02),
        help=_("Half a division when left empty: 0.005 mm."),
    ),
    Cell(
        "lift_mm",
        _("lift of the strings at the wheel"),
        "mm",
        required=False,
        least=0,
        most=10,
        likely=(0.3, 3),
    ),
    Cell(
        "rim",
        _("the rim is"),
        kind="choice",
        required=False,
        choices=(
            ("original", _("original")),
            ("old_replacement", _("an old replacement")),
            ("later_replacement", _("a later replacement")),
            ("unknown", _("of unknown origin")),
        ),
    ),
    Cell(
        "surface",
        _("state of the rim"),
        kind="choice",
        required=False,
        choices=(("clean", _("freed of rosin")), ("as_found", _("as found, with rosin"))),
    ),
)
COLUMNS = (
    Cell("angle_deg", _("angle"), "°", least=-720, most=720, index=True),
    Cell("reading", _("dial"), least=-30000, most=30000),
    Cell("axial", _("side dial"), required=False, least=-30000, most=30000),
)
WARNINGS: Mapping[str, Text] = {
    "too_few_readings": _("Fewer than 12 readings: lobes may pass for eccentricity."),
    "noise_inflates_roundness": _("From 36 readings on, noise inflates run-out and roundness."),
    "many_gaps": _("More than a third of the places is missing: the uncertainty is optimistic."),
    "wide_gap": _("A wide arc was not read: nothing is judged."),
    "uneven_places": _("The places are very uneven around the turn."),
    "fewer_harmonics": _("Too few places to tell ovality from lobes."),
    "no_inscribed_circle": _("The readings leave half of the turn open."),
    "noise_assumed": _("The dial’s repeatability was assumed, not given."),
    "more_than_noise_left": _(
        "More is left than the dial’s noise: fine lobes, or a loose bearing."
    ),
    "noise_too_big": _("The noise is too big to say anything: steady the dial and read again."),
    "angle_not_sure": _("The eccentricity is too small to have a sure direction."),
    "large_eccentricity": _("Large eccentricity: exact plane figures were computed as well."),
}
