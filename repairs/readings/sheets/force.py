"""The sheet of the wheel's force: string by string, and how it swings over one turn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.charts.svg import Chart
from repairs.charts.turning import Curve, turn_chart
from repairs.gauges.base.verdict import COMMON_PRACTICE, Limit
from repairs.gauges.wheel.lobes import profile_mm, read_lobes
from repairs.gauges.wheel.pulse import (
    HALF_HEARD_PCT,
    NEARLY_ALWAYS_PCT,
    PASSES_PCT,
)
from repairs.language.text import rounded, uses_comma
from repairs.readings.sheets.base import Advice, FigureValue, Plain, Sheet, Text
from repairs.readings.sheets.common import blank_row, given_only
from repairs.readings.sheets.force_cells import CELLS, COLUMNS, LOBES, USUAL_U_MM

SWING = Limit(None, 5.0, "%", COMMON_PRACTICE)


def to_input(values: Plain, rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    u = USUAL_U_MM if values["u_amp_mm"] is None else values["u_amp_mm"]
    lobes = [
        {"order": order, "amp_mm": values[f"{name}_mm"], "u_amp_mm": u}
        | ({} if values[f"{name}_at_deg"] is None else {"high_deg": values[f"{name}_at_deg"]})
        for order, name in LOBES
        if values[f"{name}_mm"] is not None
    ]
    names = [column.key for column in COLUMNS]
    return {
        "strings": [given_only(row, *names) for row in rows],
        "lobes": lobes,
        **given_only(values, "turns_per_min", "diameter_mm"),
    }


def figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """Force and swing of each string, then the speed of the rim."""
    found: list[FigureValue] = []
    for one in out["strings"]:
        name: str = one["name"]
        label: Text = _("force on %(string)s") % {"string": name}
        if one["force_n"] is not None:
            key = f"force_n:{name}"
            found.append(FigureValue(key, label, one["force_n"], one["u_force_n"], "N", 2, None))
        if out["lobes"]:
            label = _("swing of the force on %(string)s") % {"string": name}
            key, u = f"swing_pct:{name}", one["u_swing_pct"]
            found.append(FigureValue(key, label, one["swing_pct"], u, "%", 1, SWING))
    if out["rim_speed_m_s"] is not None:
        speed = out["rim_speed_m_s"]
        found.append(
            FigureValue("rim_speed_m_s", _("speed of the rim"), speed, None, "m/s", 2, None)
        )
    return found


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """Each string's swings, then what takes them away."""
    if not out["lobes"]:
        return []
    lines = [line for one in out["strings"] for line in _of_string(one, out["turns_per_min"])]
    swings = [s for one in out["strings"] for s in one["swings"] if _matters(s)]
    if any(swing["order"] == 1 for swing in swings):
        lines.append(Advice("force.cure_once"))
    if any(swing["order"] == 2 for swing in swings):
        lines.append(Advice("force.cure_twice"))
    return lines or [Advice("force.steady")]


def _matters(swing: Plain) -> bool:
    return bool(swing["is_sure"] and swing["pct"] > PASSES_PCT)


def _of_string(one: Plain, turns: float) -> list[Advice]:
    """Its largest swing, others that may be heard, and all of them together."""
    sure = sorted((s for s in one["swings"] if s["is_sure"]), key=lambda s: -s["pct"])
    told = [s for place, s in enumerate(sure) if place == 0 or _matters(s)]
    lines = [_swing(one["name"], swing, turns) for swing in told]
    if len(told) > 1:
        details = {"why": one["heard"], "places": 1}
        amount, u = one["swing_pct"], one["u_swing_pct"]
        lines.append(Advice("force.in_all", one["name"], amount, u, "%", details=details))
    if not one["touches"]:
        lines.append(Advice("force.leaves", one["name"]))
    return lines


def _swing(name: str, swing: Plain, turns: float) -> Advice:
    order = swing["order"]
    return Advice(
        "force.once" if order == 1 else "force.twice" if order == 2 else "force.often",
        name,
        amount=swing["pct"],
        u=swing["u_pct"],
        unit="%",
        details={
            "order": order,
            "turns": round(turns),
            "hz": swing["hz"],
            "why": swing["heard"],
            "places": 1,
        },
    )


def chart(given: Plain, out: Plain, _before: Plain | None, _was: Plain | None) -> Chart | None:
    """The force over one turn: the string that swings most, and the one that swings least."""
    if not any(lobe["is_sure"] for lobe in out["lobes"]):
        return None
    by_swing = sorted(out["strings"], key=lambda one: -one["swing_pct"])
    picked = by_swing if len(by_swing) < 2 else [by_swing[0], by_swing[-1]]
    return turn_chart(
        [_curve(given, one) for one in picked],
        levels={
            PASSES_PCT: gettext("3 %: passes"),
            HALF_HEARD_PCT: gettext("6 %: half the time"),
            NEARLY_ALWAYS_PCT: gettext("10 %: nearly always"),
        },
        words={"mean": gettext("mean"), "below": gettext("one turn forward: place at the string")},
        alt=_alt(by_swing[0], out["turns_per_min"]),
        comma=uses_comma(),
    )


def _curve(given: Plain, one: Plain) -> Curve:
    places, off = profile_mm(read_lobes(given["lobes"]))
    return Curve(_called(one), places, [100.0 * value / one["lift_mm"] for value in off])


def _called(one: Plain) -> str:
    said = {"string": one["name"], "swing": rounded(one["swing_pct"], 1)}
    if one["least_n"] is None:
        return gettext("%(string)s: ±%(swing)s %%") % said
    said |= {"least": rounded(one["least_n"], 2), "most": rounded(one["most_n"], 2)}
    return gettext("%(string)s: ±%(swing)s %%, from %(least)s to %(most)s N") % said


def _alt(one: Plain, turns: float) -> str:
    words = gettext(
        "The force over one turn of the crank: that on %(string)s swings most, by ±%(swing)s %%; "
        "a turn takes %(seconds)s s at %(turns)s turns a minute"
    )
    return words % {
        "string": one["name"],
        "swing": rounded(one["swing_pct"], 1),
        "seconds": rounded(60.0 / turns, 1),
        "turns": rounded(turns, 0),
    }


def first_rows(case: Case) -> list[dict[str, str]]:
    """A row for each string that the wheel may rub."""
    strings = case.instrument.pattern.strings
    names = [str(one) for one in strings if one.role != "sympathetic"]
    return [blank_row(COLUMNS, name=name) for name in names or [""] * 3]


def warnings(out: Mapping[str, Any]) -> list[Text]:
    """What the drawing takes for granted."""
    if sum(lobe["is_sure"] for lobe in out["lobes"]) < 2:
        return []
    if all(lobe["high_deg"] is not None for lobe in out["lobes"] if lobe["is_sure"]):
        return []
    return [_("Where the high spots lie is not all known: how the lobes add up is only assumed.")]


SHEET = Sheet(
    gauge="force_turn",
    label=_("force of the wheel, string by string"),
    says=_("How hard the wheel presses on each string, and how that swings over a turn."),
    needs="may_string",
    cells=CELLS,
    columns=COLUMNS,
    to_input=to_input,
    figures=figures,
    advice=advice,
    chart=chart,
    first_rows=first_rows,
    warnings=warnings,
    least_rows=1,
    most_rows=12,
    limits={"swing_pct": (_("swing of the force over a turn"), SWING)},
)
