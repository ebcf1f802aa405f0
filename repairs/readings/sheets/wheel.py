"""The wheel's entry sheet: a dial on the rim, read all round."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.charts.polar import PolarSeries, PolarWords, polar_chart
from repairs.charts.svg import Chart
from repairs.gauges.base.verdict import judge
from repairs.gauges.wheel.advice import TURNING
from repairs.gauges.wheel.gauge import DEFAULT_LIMITS
from repairs.language.text import rounded, uses_comma
from repairs.readings.sheets.base import (
    Advice,
    FigureValue,
    Plain,
    Sheet,
    Text,
)
from repairs.readings.sheets.common import blank_row, figure, given_only, present
from repairs.readings.sheets.wheel_cells import (
    CELLS,
    COLUMNS,
    ECC,
    OVAL,
    ROUND,
    SCALES,
    STEP_DEG,
    WARNINGS,
)


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


def first_rows(_case: Case) -> list[dict[str, str]]:
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
    is_handed=True,
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
