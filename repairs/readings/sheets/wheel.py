"""The wheel's entry sheet: a dial on the rim, read all round."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.charts.polar import Act, PolarSeries, PolarWords, polar_chart
from repairs.charts.svg import Chart
from repairs.gauges.base.verdict import Limit, judge
from repairs.gauges.wheel.gauge import DEFAULT_LIMITS
from repairs.gauges.wheel.readings import place_near, placed, read
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
    HIGH_SPOT,
    OVAL,
    OVAL_HIGH,
    ROUND,
    SCALES,
    STEP_DEG,
    WARNINGS,
)

MORE = (("second", "second_mm"), ("third", "third_mm"), ("axial", "axial_mm"))


def to_input(values: Plain, rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    scale = SCALES[values["scale"] or "mm"]
    given: dict[str, Any] = {
        "angles_deg": [row["angle_deg"] for row in rows],
        "readings_mm": [_scaled(row["reading"], scale) for row in rows],
        "sign": int(values["sign"] or 1),
        "mean_diameter_mm": values["mean_diameter_mm"],
        **given_only(values, "start_deg", "turned", "gauge_sigma_mm", "lift_mm", "rim"),
        "cleaned": values["surface"] == "clean",
        **{name: bool(values[name]) for name in ("acclimatised", "recentred", "leave")},
    }
    if values["push_pull"] is not None:
        given["push_pull_mm"] = values["push_pull"] * scale
    for column, name in MORE:
        if any(row[column] is not None for row in rows):
            given[name] = [_scaled(row[column], scale) for row in rows]
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
            figure(out, "high_spot_deg", HIGH_SPOT, "°", 0),
            figure(out, "oval_amp_mm", _("ovality"), "mm", 3, OVAL),
            figure(out, "oval_high_deg", OVAL_HIGH, "°", 0),
            figure(out, "lsc_roundness_mm", _("roundness, least-squares circle"), "mm", 3, ROUND),
            figure(
                out, "mz_roundness_mm", _("minimum zone of the readings, noise and all"), "mm", 3
            ),
            figure(out, "read_tir_mm", _("spread of the readings, noise and all"), "mm", 3),
            figure(out, "repeat_sigma_mm", _("repeatability, from the turns"), "mm", 4),
            figure(out, "asynchronous_mm", _("what does not repeat each turn"), "mm", 3),
            figure(out, "axial_runout_mm", _("side run-out"), "mm", 3, limits["axial_runout_mm"]),
            figure(out, "swelling_pct", _("swelling of the force once a turn"), "%", 1),
            figure(out, "oval_swelling_pct", _("swelling of the force twice a turn"), "%", 1),
            figure(out, "radial_depth_mm", _("depth to turn on this axle"), "mm", 3),
            figure(out, "diameter_left_mm", _("diameter left then"), "mm", 2),
            figure(
                out, "recentred_diameter_left_mm", _("diameter left, re-centred first"), "mm", 2
            ),
        ]
    )


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """The action, what stands beside it, then the steps in their order with their figures."""
    said = out["prescription"]
    lines = [Advice(f"wheel.{said['action']}", irreversible=bool(said["irreversible"]))]
    if said["need"]:
        lines.append(Advice(f"wheel.need.{said['need']}"))
    lines += _form_in_doubt(out, said["action"])
    if said.get("consent_of_its_own"):
        lines.append(Advice("wheel.consent"))
    for step in said["steps"]:
        lines.append(Advice(f"wheel.step.{step}"))
        # A blow or a cut has its figures where its turn comes, not before the rim is clean.
        if step == "reseat_or_shim" and said.get("recentre"):
            lines.append(_shift(said["recentre"]))
        if step == "turn_rim" and said.get("turn"):
            lines.append(_cut(said["turn"]))
    return lines


def _shift(shift: Plain) -> Advice:
    return Advice(
        "wheel.shift",
        amount=shift["shift_mm"],
        u=shift["u_shift_mm"],
        unit="mm",
        details={
            "tap": round(shift["tap_at_deg"]) % 360,
            "shim": round(shift["shim_at_deg"]) % 360,
        },
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


def _form_in_doubt(out: Plain, action: str) -> list[Advice]:
    """A form that may lie outside of its limit, but not surely, is no reason for a cut."""
    limit = Limit(None, out["prescription"]["rule"]["form_limit_mm"], "mm")
    word = judge(out["lsc_roundness_mm"] or 0.0, out["u_lsc_roundness_mm"], limit).word
    said = action in ("recentre", "keep_form") and word in ("doubtful", "outside")
    return [Advice("wheel.form_in_doubt")] if said else []


def warnings(out: Plain) -> list[Text]:
    """What makes the figures less sure, in words."""
    return [WARNINGS[code] for code in out["warnings"] if code in WARNINGS]


def _series(given: Plain) -> PolarSeries:
    """The mean of the turns at their places, counted in the playing direction."""
    turn = read(given)
    middle = float(turn.readings_mm.mean())
    return PolarSeries(turn.angles_deg.tolist(), [v - middle for v in turn.readings_mm.tolist()])


def chart(given: Plain, out: Plain, before: Plain | None, _out: Plain | None) -> Chart:
    """The picture of the reading, with the earlier one under it."""
    angle = out["high_spot_deg"]
    words = PolarWords(
        gettext("crank"),
        gettext("high spot"),
        gettext("before"),
        sense=gettext("playing direction"),
        comma=uses_comma(),
        acts=_acts(given, out),
    )
    return polar_chart(
        _series(given),
        words=words,
        alt=_alt(out),
        high_spot_deg=angle,
        ecc_mm=out["ecc_mm"],
        before=_series(before) if before else None,
    )


def _acts(given: Plain, out: Plain) -> tuple[Act, ...]:
    """Where to tap and where to shim, with the number of the place: only what is proposed."""
    said = out["prescription"]
    if "reseat_or_shim" not in said["steps"] or not said.get("recentre"):
        return ()
    tap, shim = said["recentre"]["tap_at_deg"], said["recentre"]["shim_at_deg"]
    tapped = gettext("▶ chalk, tap here: %(angle)s°, place %(place)s")
    shimmed = gettext("△ or shim here: %(angle)s°, place %(place)s")
    return (
        Act("tap", tap, tapped % _place(given, tap)),
        Act("shim", shim, shimmed % _place(given, shim)),
    )


def _place(given: Plain, angle_deg: float) -> dict[str, int]:
    """An angle, and the number of the place that was read nearest to it."""
    return {"angle": round(angle_deg) % 360, "place": place_near(placed(given), angle_deg)}


def _alt(out: Plain) -> str:
    """The picture in words."""
    read_mm = out.get("read_tir_mm", out["tir_mm"])  # which an earlier version did not have
    said = {"tir": rounded(out["tir_mm"] or read_mm, 3), "ecc": rounded(out["ecc_mm"], 3)}
    alt = gettext("Polar plot of the wheel: run-out %(tir)s mm, eccentricity %(ecc)s mm") % said
    if out["high_spot_deg"] is not None:
        alt += gettext(
            ", high spot at %(angle)s° from the crank’s mark, in the playing direction, seen from "
            "the crank"
        ) % {"angle": round(out["high_spot_deg"]) % 360}
    return alt


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
    limit_inputs={"lsc_roundness_mm": "form_limit_mm"},
    scales=SCALES,
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
