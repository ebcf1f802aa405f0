"""The climate log's entry sheet: a logger's file, and the air that follows from it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from repairs.charts.band import Band, band_chart
from repairs.charts.svg import Chart
from repairs.gauges.climate.target import DEFAULT_LIMITS
from repairs.language.text import rounded, uses_comma
from repairs.readings.sheets.base import Advice, Cell, FigureValue, Plain, Sheet, Text
from repairs.readings.sheets.common import figure, given_only, present
from repairs.readings.sheets.species import species_choices
from repairs.readings.sheets.wood import DIRECTIONS
from repairs.screens.fields import RH_UNIT

DAY, MONTH, HARM, NO_HARM = "day", "month", "harm", "none"
CELLS = (
    Cell(
        "csv",
        _("the logger’s file"),
        kind="file",
        help=_(
            "A CSV with time, humidity and, if it has it, temperature: any separator, comma or "
            "point. It can be pasted instead."
        ),
    ),
    Cell(
        "day_first",
        _("order of day and month"),
        kind="choice",
        required=False,
        choices=(
            (DAY, _("the day first: 31/01/2025")),
            (MONTH, _("the month first: 01/31/2025")),
        ),
        help=_("Only where no date of the file tells, as 03/04/2025 does not."),
    ),
    Cell("part", _("the part that moves"), kind="text", required=False, default=""),
    Cell(
        "width_mm",
        _("its width across the grain"),
        "mm",
        required=False,
        least=1,
        most=2000,
        likely=(30, 500),
    ),
    Cell(
        "species",
        _("its wood"),
        kind="choice",
        required=False,
        choices=species_choices(),
    ),
    Cell("direction", _("its width is"), kind="choice", required=False, choices=DIRECTIONS),
    Cell(
        "air_did_harm",
        _("a crack or lifting that this air caused"),
        kind="choice",
        required=False,
        choices=((NO_HARM, _("none is on record")), (HARM, _("is on record"))),
        help=_("Then the history vouches for nothing; the target lies where the wood was whole."),
    ),
    Cell(
        "whole_at_rh_pct",
        _("humidity in which the wood was still whole"),
        "%",
        required=False,
        least=1,
        most=99,
        likely=(30, 70),
    ),
    Cell(
        "glued_at_rh_pct",
        _("humidity at which a crack was glued since"),
        "%",
        required=False,
        least=1,
        most=99,
        likely=(30, 70),
    ),
)
USUAL_PART = "soundboard"


def to_input(values: Plain, _rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    given: dict[str, Any] = {"csv": values["csv"]}
    given |= given_only(values, "glued_at_rh_pct", "whole_at_rh_pct")
    if values.get("day_first"):
        given["day_first"] = values["day_first"] == DAY
    if values.get("air_did_harm"):
        given["air_did_harm"] = values["air_did_harm"] == HARM
    if values.get("width_mm") is not None and values.get("species"):
        given["parts"] = [
            {
                "part": values.get("part") or USUAL_PART,
                "width_mm": values["width_mm"],
                "species": values["species"],
                "direction": values.get("direction") or "radial",
            }
        ]
    return given


def figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """The figures to be judged, in the order of the page."""
    seen, target = out["statistics"], out["target"] or {}
    band = seen["band"] or {}
    rows = [
        figure(seen, "days", _("days recorded"), "", 0),
        figure(seen, "covered_days", _("days without the holes"), "", 0),
        figure(seen, "longest_hole_days", _("longest hole, in days"), "", 1),
        figure(seen, "mean_rh_pct", _("mean humidity"), "%", 1),
        figure(seen, "least_rh_pct", _("lowest humidity"), "%", 1),
        figure(seen, "most_rh_pct", _("highest humidity"), "%", 1),
        figure(seen, "days_below_25", _("days below 25 %% RH") % (), "", 1),
        figure(seen, "days_above_75", _("days above 75 %% RH") % (), "", 1),
        figure(band, "p7_pct", _("7th percentile of the short swings"), "%", 1),
        figure(band, "p93_pct", _("93rd percentile of the short swings"), "%", 1),
        figure(target, "low_rh_pct", _("target, from"), "%", 0),
        figure(target, "high_rh_pct", _("target, to"), "%", 0),
    ]
    return present(rows) + [_strain(part) for part in target.get("parts", ())]


def _strain(part: Plain) -> FigureValue:
    """What a held part would be strained by, in % of its width, at one edge of the target."""
    verdict = part["verdict"]
    label = _("%(part)s: held strain at the target’s %(edge)s edge") % {
        "part": _("soundboard") if part["part"] == USUAL_PART else part["part"],
        "edge": _("dry") if part["edge"] == "low" else _("damp"),
    }
    return FigureValue(
        f"strain_pct:{part['part']}.{part['edge']}",
        label,
        verdict["value"],
        verdict["u"],
        "%",
        2,
        DEFAULT_LIMITS["strain_pct"],
    )


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """What the gauge proposes, line by line."""
    target = out["target"]
    if not target:
        return [Advice("climate.too_short")]
    lines = []
    if "air_did_harm" in target["notes"]:
        known = target["basis"] == "where_whole"
        rest = rounded(target["rest_rh_pct"], 0)
        lines.append(
            Advice("climate.harm" if known else "climate.harm_unknown", details={"rest": rest})
        )
    lines.append(
        Advice("climate.target", details=_ends("", (target["low_rh_pct"], target["high_rh_pct"])))
    )
    if target["winter"] and target["summer"]:
        halves = _ends("winter_", target["winter"]) | _ends("summer_", target["summer"])
        lines.append(Advice("climate.halves", details=halves))
    lines.append(Advice("climate.owner", details=_ends("", target["owner"])))
    return lines + _incomplete(out["statistics"])


def _ends(name: str, ends: Sequence[float]) -> dict[str, str]:
    return {f"{name}low": f"{ends[0]:.0f}", f"{name}high": f"{ends[1]:.0f}"}


def _incomplete(seen: Plain) -> list[Advice]:
    """Why the record proves nothing yet: too short, or with holes."""
    if seen["complete"]:
        return []
    if "holes" not in seen["notes"]:
        return [Advice("climate.short_record")]
    said = {
        "covered": f"{seen['covered_days']:.0f}",
        "days": f"{seen['days']:.0f}",
        "hole": f"{seen['longest_hole_days']:.0f}",
    }
    return [Advice("climate.holes", details=said)]


def warnings(out: Plain) -> list[Text]:
    """What the import left out, counted; nothing is dropped without a word."""
    names = {
        "missing_rh": _("%(count)s rows without humidity, first in line %(line)s"),
        "repeated": _("%(count)s rows twice, first in line %(line)s"),
        "contradicting": _(
            "%(count)s rows contradict another of the same time, first in line %(line)s"
        ),
        "out_of_order": _("%(count)s rows out of order, first in line %(line)s"),
    }
    found: list[Text] = []
    for key, words in names.items():
        report = out["import"][key]
        if report["count"]:
            line = report["lines"][0] if report["lines"] else "—"
            found.append(words % {"count": report["count"], "line": line})
    return found + _of_time(out["import"])


def _of_time(report: Plain) -> list[Text]:
    """Its holes, with the longest, and the nights of summer time."""
    found: list[Text] = []
    if report["gap_count"]:
        found.append(
            _("%(count)s gaps, together %(hours)s hours")
            % {"count": report["gap_count"], "hours": rounded(report["gap_hours"], 0)}
        )
        longest = report["longest_gaps"][0]
        found.append(
            _("the longest gap: nothing between %(start)s and %(end)s")
            % {end: longest[end].replace("T", " ")[:16] for end in ("start", "end")}
        )
    changes = report.get("clock_changes")
    if changes:
        changed = ngettext(
            "the clock was changed once for summer time; that night is read as it was",
            "the clock was changed %(count)s times for summer time; those nights are read as they "
            "were",
            changes,
        )
        found.append(changed % {"count": changes})
    return found


def chart(_given: Plain, out: Plain, _before: Plain | None, _was: Plain | None) -> Chart:
    """The picture of the reading, with the earlier one under it."""
    seen, target = out["statistics"], out["target"] or {}
    alt = gettext("Humidity recorded from %(least)s to %(most)s %%, mean %(mean)s %%") % {
        "least": rounded(seen["least_rh_pct"], 0),
        "most": rounded(seen["most_rh_pct"], 0),
        "mean": rounded(seen["mean_rh_pct"], 0),
    }
    bands = [
        Band(gettext("recorded"), seen["least_rh_pct"], seen["most_rh_pct"], seen["mean_rh_pct"]),
        *_halves(seen),
        Band(
            gettext("target"),
            target.get("low_rh_pct"),
            target.get("high_rh_pct"),
            target.get("rest_rh_pct"),
        ),
    ]
    if target.get("owner"):
        low, high = target["owner"]
        bands.append(Band(gettext("for the owner"), low, high, None))
    return band_chart(
        [b for b in bands if b.low is not None and b.high is not None],
        unit=str(RH_UNIT),
        low=0,
        high=100,
        alt=alt,
        comma=uses_comma(),
    )


def _halves(seen: Plain) -> list[Band]:
    """The months’ means of winter and summer, or of all that was seen."""
    winter, summer = seen.get("winter"), seen.get("summer")
    if not winter or not summer:
        return [Band(gettext("seasons"), seen["season_low_pct"], seen["season_high_pct"], None)]
    named = ((gettext("winter"), winter), (gettext("summer"), summer))
    return [Band(name, half["low_pct"], half["high_pct"], None) for name, half in named]


SHEET = Sheet(
    gauge="climate_log",
    label=_("climate log"),
    says=_("What air the instrument lived in, and the target that follows from it."),
    cells=CELLS,
    to_input=to_input,
    figures=figures,
    advice=advice,
    chart=chart,
    warnings=warnings,
    limits={
        "strain_pct": (_("held strain"), DEFAULT_LIMITS["strain_pct"]),
        "owner_rh_pct": (_("air handed to an owner, at most"), DEFAULT_LIMITS["owner_rh_pct"]),
    },
)
