"""The wheel's entry sheet: a dial on the rim, read all round."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.charts.polar import PolarSeries, PolarWords, polar_chart
from repairs.charts.svg import Chart
from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit, judge
from repairs.gauges.wheel.advice import TURNING
from repairs.gauges.wheel.gauge import DEFAULT_LIMITS
from repairs.language.text import rounded, uses_comma
from repairs.readings.sheets.base import (
    Advice,
    Cell,
    FigureValue,
    Plain,
    Sheet,
    Text,
)
from repairs.readings.sheets.common import blank_row, figure, given_only, present

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


def to_input(values: Plain, rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    scale = SCALES[values["scale"] or "mm"]
    side = [row["axial"] for row in rows]
    given: dict[str, Any] = {
        "angles_deg": [row["angle_deg"] for row in rows],
        "readings_mm": [_scaled(row["reading"], scale) for row in rows],
        "sign": int(values["sign"] or 1),
        "mean_diameter_mm": values["mean_diameter_mm"],
        **given_only(values, "start_deg", "gauge_sigma_mm", "lift_mm", "rim"),
    }
    if any(value is not None for value in side):
        given["axial_mm"] = [_scaled(value, scale) for value in side]
    return given


def _scaled(value: float | None, scale: float) -> float | None:
    return None if value is None else value * scale


def figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """The figures to be judged, in the order of the page."""
    limits = DEFAULT_LIMITS
    return present(
        [
            figure(out, "tir_mm", _("run-out in one turn"), "mm", 3, limits["tir_mm"]),
            figure(out, "ecc_mm", _("eccentricity"), "mm", 3, ECC),
            figure(out, "high_spot_deg", _("angle of the high spot"), "°", 0),
            figure(out, "oval_amp_mm", _("ovality"), "mm", 3, OVAL),
            figure(out, "lsc_roundness_mm", _("roundness, least-squares circle"), "mm", 3, ROUND),
            figure(out, "mz_roundness_mm", _("roundness, minimum zone"), "mm", 3),
            figure(out, "axial_runout_mm", _("side run-out"), "mm", 3, limits["axial_runout_mm"]),
            figure(out, "swelling_pct", _("swelling of the force each turn"), "%", 1),
            figure(out, "radial_depth_mm", _("depth to turn on this axle"), "mm", 3),
            figure(out, "diameter_left_mm", _("diameter left then"), "mm", 2),
            figure(
                out, "recentred_diameter_left_mm", _("diameter left, re-centred first"), "mm", 2
            ),
        ]
    )


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """The action, its figures, then the steps in their order."""
    said = out["prescription"]
    lines = [Advice(f"wheel.{said['action']}", irreversible=bool(said["irreversible"]))]
    lines.append(Advice(f"wheel.need.{said['need']}"))
    lines += _form_against_limit(out, said["action"])
    if shift := said.get("recentre"):
        lines.append(_shift(shift))
    if cut := said.get("turn"):
        lines.append(_cut(cut))
    if said.get("consent_of_its_own"):
        lines.append(Advice("wheel.consent"))
    lines += [Advice(f"wheel.step.{step}") for step in said["steps"]]
    return lines


def _shift(shift: Plain) -> Advice:
    return Advice(
        "wheel.shift",
        amount=shift["shift_mm"],
        u=shift["u_shift_mm"],
        unit="mm",
        details={"tap": round(shift["tap_at_deg"]), "shim": round(shift["shim_at_deg"])},
    )


def _cut(cut: Plain) -> Advice:
    # A turned rim is a smaller wheel for ever: it meets the strings lower by half of what its
    # diameter lost, and the bridge has to follow.
    return Advice(
        "wheel.cut",
        amount=cut["depth_mm"],
        u=cut["u_depth_mm"],
        unit="mm",
        irreversible=True,
        details={
            "left": round(cut["diameter_left_mm"], 2),
            "lift": round(cut["lift_lost_mm"], 3),
        },
    )


def _form_against_limit(out: Plain, action: str) -> list[Advice]:
    """The action follows from the ratio of seat and form; the form's own limit may disagree."""
    word = judge(out["lsc_roundness_mm"], out["u_lsc_roundness_mm"], ROUND).word
    if action in TURNING and word == "inside":
        return [Advice("wheel.form_inside")]
    if action not in TURNING and word == "outside":
        return [Advice("wheel.form_outside")]
    return []


def warnings(out: Plain) -> list[Text]:
    """What makes the figures less sure, in words."""
    return [WARNINGS[code] for code in out["warnings"]]


def _series(given: Plain) -> PolarSeries:
    pairs = [
        (angle + (given.get("start_deg") or 0.0), value * given["sign"])
        for angle, value in zip(given["angles_deg"], given["readings_mm"], strict=True)
        if value is not None
    ]
    middle = sum(value for _angle, value in pairs) / len(pairs)
    return PolarSeries([a for a, _v in pairs], [v - middle for _a, v in pairs])


def chart(given: Plain, out: Plain, before: Plain | None, _out: Plain | None) -> Chart:
    """The picture of the reading, with the earlier one under it."""
    said = {"tir": rounded(out["tir_mm"], 3), "ecc": rounded(out["ecc_mm"], 3)}
    angle = out["high_spot_deg"]
    alt = gettext("Polar plot of the wheel: run-out %(tir)s mm, eccentricity %(ecc)s mm") % said
    if angle is not None:
        alt += gettext(", high spot at %(angle)s° from the crank’s mark") % {"angle": round(angle)}
    words = PolarWords(
        gettext("crank"), gettext("high spot"), gettext("before"), comma=uses_comma()
    )
    return polar_chart(
        _series(given),
        words=words,
        alt=alt,
        high_spot_deg=angle,
        ecc_mm=out["ecc_mm"],
        before=_series(before) if before else None,
    )


def first_rows(_case: Any) -> list[dict[str, str]]:
    """The rows of an empty sheet, named as this instrument asks."""
    return [blank_row(COLUMNS, angle_deg=str(angle)) for angle in range(0, 360, STEP_DEG)]


SHEET = Sheet(
    gauge="wheel",
    label=_("wheel, dial readings"),
    says=_("Run-out, eccentricity, roundness; what to do, and in which order."),
    needs="may_turn",
    cells=CELLS,
    columns=COLUMNS,
    to_input=to_input,
    figures=figures,
    advice=advice,
    chart=chart,
    first_rows=first_rows,
    warnings=warnings,
    least_rows=8,
    keeps_gaps=True,
    most_rows=72,
    limits={
        "tir_mm": (_("run-out in one turn"), DEFAULT_LIMITS["tir_mm"]),
        "ecc_mm": (_("eccentricity"), ECC),
        "oval_amp_mm": (_("ovality"), OVAL),
        "lsc_roundness_mm": (_("roundness, least-squares circle"), ROUND),
        "axial_runout_mm": (_("side run-out"), DEFAULT_LIMITS["axial_runout_mm"]),
    },
)
