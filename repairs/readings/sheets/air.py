"""Entry sheets of air and wood: the moisture that air brings, and how wood moves with it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.charts.band import Band, band_chart
from repairs.charts.svg import Chart
from repairs.gauges.base.verdict import K
from repairs.language.text import rounded, uses_comma
from repairs.readings.sheets.base import Advice, Cell, FigureValue, Plain, Sheet
from repairs.readings.sheets.common import figure, given_only, present
from repairs.readings.sheets.species import species_choices
from repairs.readings.sheets.wood import DIRECTIONS, SETTLING_CELLS, wait_days

T_CELL = Cell("t_c", _("temperature"), "°C", least=-2, most=50, likely=(10, 30), default="20")
MOST_MC_PCT = 40.0  # of the chart: beyond, wood moves no more


def _given(values: Plain, _rows: Sequence[Plain]) -> dict[str, Any]:
    return given_only(values, *values)


def emc_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """The moisture that this air brings, and the air that brings the one that is wanted."""
    return present(
        [
            figure(out, "emc_pct", _("moisture at which wood settles"), "%", 1),
            figure(out, "wanted_rh_pct", _("humidity that brings the wanted moisture"), "%", 0),
        ]
    )


EMC = Sheet(
    gauge="emc",
    label=_("moisture of wood in air"),
    says=_("At which moisture wood settles in this air, and which air brings a wanted one."),
    cells=(
        T_CELL,
        Cell("rh_pct", _("humidity of the air"), "%", least=0, most=100, likely=(20, 85)),
        Cell(
            "wanted_emc_pct",
            _("moisture that is wanted"),
            "%",
            required=False,
            least=1,
            most=28,
            likely=(5, 14),
        ),
    ),
    to_input=_given,
    figures=emc_figures,
)


def movement_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """How far it moves, what it measures then, and how long that takes."""
    wait = out["settling"] or {}
    return present(
        [
            figure(out, "from_mc_pct", _("moisture now"), "%", 1),
            figure(out, "to_mc_pct", _("moisture later"), "%", 1),
            figure(out, "change_mm", _("change across the grain, + grows"), "mm", 2),
            figure(out, "final_mm", _("width then"), "mm", 2),
            figure(out, "strain_pct", _("strain if its edges are held, + presses"), "%", 2),
            figure(wait, "days", _("days until it has settled by 95 %%") % (), "", 1),
        ]
    )


def movement_advice(_given: Plain, out: Plain) -> list[Advice]:
    """Which way it moves, in words, and when to measure again."""
    change, u = out["change_mm"], out["u_change_mm"]
    said = {"far": float(abs(change)), "doubt": float(u), "places": 2}
    if abs(change) <= K * u or round(abs(change), 2) == 0.0:
        lines = [Advice("movement.not_sure", details=said)]
    else:
        lines = [Advice("movement.grows" if change > 0 else "movement.shrinks", details=said)]
    if out["settling"]:
        lines.append(Advice("movement.wait", details=wait_days(out["settling"])))
    return lines


def movement_chart(_given: Plain, out: Plain, _before: Plain | None, _was: Plain | None) -> Chart:
    """Both moistures with what is not known of them."""
    now, later = out["from_mc_pct"], out["to_mc_pct"]
    alt = gettext("Moisture now %(now)s %%, later %(later)s %%") % {
        "now": rounded(now, 1),
        "later": rounded(later, 1),
    }
    bands = [
        Band(gettext("now"), max(now - 1.0, 0.0), now + 1.0, now),
        Band(gettext("later"), max(later - 1.0, 0.0), later + 1.0, later),
    ]
    most = min(max(now, later, 18.0) + 2.0, MOST_MC_PCT)
    return band_chart(bands, unit="%", low=0, high=most, alt=alt, comma=uses_comma())


def _moisture(key: str, label: Any) -> Cell:
    return Cell(key, label, "%", required=False, least=0, most=MOST_MC_PCT, likely=(4, 20))


def _air(key: str, label: Any) -> Cell:
    return Cell(key, label, "%", required=False, least=1, most=99, likely=(20, 85))


MOVEMENT = Sheet(
    gauge="movement",
    label=_("movement of wood"),
    says=_("How far wood moves from one air to another, by its moisture or by the air."),
    cells=(
        Cell(
            "width_mm",
            _("width of the wood that moves"),
            "mm",
            least=1,
            most=2000,
            likely=(10, 500),
        ),
        Cell(
            "species", _("wood"), kind="choice", default="norway_spruce", choices=species_choices()
        ),
        Cell("direction", _("its width is"), kind="choice", choices=DIRECTIONS, default="radial"),
        T_CELL,
        _air("from_rh_pct", _("humidity in which it has settled")),
        _moisture("from_mc_pct", _("or its moisture now, by the meter")),
        _air("to_rh_pct", _("humidity later")),
        _moisture("to_mc_pct", _("or its moisture later")),
        *SETTLING_CELLS,
    ),
    to_input=_given,
    figures=movement_figures,
    advice=movement_advice,
    chart=movement_chart,
)
