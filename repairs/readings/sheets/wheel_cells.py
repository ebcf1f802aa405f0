"""What the wheel's sheet asks for, and the words of its warnings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

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
HIGH_SPOT = _("high spot, from the crank’s mark in the playing direction")
OVAL_HIGH = _("high spots of the oval, from the mark (and opposite)")
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
        units=(("mm", "mm"), ("hundredths", "1/100 mm"), ("microns", "1/1000 mm")),
        recalled=True,
    ),
    Cell(
        "sign",
        _("the dial grows when the rim comes"),
        kind="choice",
        choices=(("1", _("towards the dial (outwards)")), ("-1", _("away from it"))),
        default="1",
        recalled=True,
    ),
    Cell(
        "turned",
        _("the angles are"),
        kind="choice",
        required=False,
        choices=(
            ("places", _("marks on the wheel, counted in the playing direction")),
            ("forward", _("how far the crank was turned forward, the dial fixed")),
            ("backward", _("how far the crank was turned backwards, the dial fixed")),
        ),
        help=_(
            "Seen from the crank. Turned forward, the places pass backwards: after 60° the dial "
            "stands on 300°."
        ),
        default="places",
        recalled=True,
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
        help=_("Where one turn only is read; 0.005 mm when left empty. More turns tell it."),
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
    Cell(
        "push_pull",
        _("play of the axle, pushed and pulled"),
        required=False,
        least=0,
        most=2000,
        unit_of="scale",
        help=_("What the dial shows between push and pull, the wheel standing still."),
    ),
    Cell(
        "acclimatised",
        _("it has lain at its target humidity until it settled"),
        kind="tick",
        required=False,
    ),
    Cell(
        "recentred",
        _("seat and bearing were set, the rim centred as well as it goes"),
        kind="tick",
        required=False,
    ),
    Cell(
        "leave",
        _("the owner’s leave to cut this rim is on record"),
        kind="tick",
        required=False,
    ),
)
DIAL_MM = 0.01  # common practice: the division of a workshop’s dial
OF_THE_DIAL: dict[str, Any] = {"least": -30000, "most": 30000, "unit_of": "scale"}
COLUMNS = (
    Cell("angle_deg", _("angle"), "°", least=-720, most=720, likely=(-360, 360), index=True),
    Cell("reading", _("dial"), least=-30000, most=30000, unit_of="scale", shows_mm=DIAL_MM),
    Cell("second", _("dial, second turn"), required=False, seldom=True, **OF_THE_DIAL),
    Cell("third", _("dial, third turn"), required=False, seldom=True, **OF_THE_DIAL),
    Cell("axial", _("side dial"), required=False, **OF_THE_DIAL),
)
WARNINGS: Mapping[str, Text] = {
    "too_few_places": _(
        "Too few places: a rim may have five lobes, which need eleven even places. Run-out and "
        "roundness are not told; read 24."
    ),
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
    "bearing_loose": _("The axle shakes in its bearing: the rim follows it."),
    "angle_not_sure": _("The eccentricity is too small to have a sure direction."),
    "large_eccentricity": _("Large eccentricity: exact plane figures were computed as well."),
}
