"""The keyboard's entry sheet: cents per key from a tuner, one chanterelle at a time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.charts.bars import Bar, Row, upright_bars
from repairs.charts.svg import Chart
from repairs.gauges.keys.correction import DEFAULT_LIMITS
from repairs.language.text import rounded, uses_comma
from repairs.readings.sheets.base import (
    FigureValue,
    Plain,
    Sheet,
)
from repairs.readings.sheets.common import SIGNS, given_only, limit_of, rows_of_keys
from repairs.readings.sheets.keyboard_advice import advice, warnings
from repairs.readings.sheets.keyboard_cells import (
    CELLS,
    COLUMNS,
    ONE_PIECE,
    SCALE,
    STRINGS,
    named,
)

LAW = ("tension_n", "diameter_mm", "material", "total_mm", "push_mm")


def to_input(values: Plain, rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    strings = []
    for number, name in enumerate(STRINGS, 1):
        cents = [row[name] for row in rows]
        if any(value is not None for value in cents):
            more = {
                "firm_cents": [row[f"firm_{number}"] for row in rows],
                "gap_mm": [row[f"gap_{number}"] for row in rows],
            }
            read = {key: cells for key, cells in more.items() if any(c is not None for c in cells)}
            string = {"name": name, "measured_cents": cents, **read}
            strings.append({**string, **given_only(values, "open_cents", "offset_mm")})
    return {
        "length_mm": values["length_mm"],
        "keys": [row["key"] for row in rows],
        "strings": strings,
        "reading": values["reading"],
        "temperament": values.get("scl") or values["temperament"],
        **_of_keys(rows),
        **({"retemper": True} if values.get("retemper") else {}),
        **given_only(values, "u_cents", *LAW),
    }


def _of_keys(rows: Sequence[Plain]) -> dict[str, Any]:
    """The room of each key and which tangents are one piece, where any was typed."""
    rooms = [row["room_mm"] for row in rows]
    fixed = [int(row["key"]) for row in rows if row["fixed_double"] == ONE_PIECE]
    return {
        **({"room_mm": rooms} if any(room is not None for room in rooms) else {}),
        **({"fixed_double": fixed} if fixed else {}),
    }


def figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """Worst key, faults of the scale as a whole, then every key of every string."""
    rows: list[FigureValue] = []
    for place, string in enumerate(out["strings"], 1):
        rows += _scale_figures(place, string)
        for line in string["keys"]:
            label = _("%(string)s, key %(key)s") % {
                "string": named(string["name"]),
                "key": line["key"],
            }
            rows.append(
                FigureValue(
                    f"off_cents:{place}.{line['key']}",
                    label,
                    line["off_cents"],
                    line["u_off_cents"],
                    "cents",
                    1,
                    limit_of(line["verdict"]),
                )
            )
    return rows


def _scale_figures(place: int, string: Mapping[str, Any]) -> list[FigureValue]:
    worst = max(string["keys"], key=lambda line: abs(line["off_after_cents"]), default=None)
    rows = []
    if worst is not None:
        label = _("%(string)s: worst key, the scale taken out") % {"string": named(string["name"])}
        rows.append(
            FigureValue(
                f"worst_cents:{place}",
                label,
                abs(worst["off_after_cents"]),
                worst["u_off_after_cents"],
                "cents",
                1,
                DEFAULT_LIMITS["other_cents"],
            )
        )
    return rows + _end_figures(place, string) + _noise_figures(place, string)


def _noise_figures(place: int, string: Mapping[str, Any]) -> list[FigureValue]:
    """How far tangents stand beside their places by chance, and what pressing adds: not judged."""
    fit = string.get("fit") or {}
    name = {"string": named(string["name"])}
    told = (
        ("scatter_mm", _("%(string)s: tangents stand beside their places by") % name, "mm", 2),
        ("pressed_cents", _("%(string)s: sharpened by pressing by") % name, "cents", 1),
    )
    return [
        FigureValue(
            f"{key}:{place}", label, fit[key], fit.get(f"u_{key}"), unit, digits, None, False
        )
        for key, label, unit, digits in told
        if fit.get(key) is not None
    ]


def _end_figures(place: int, string: Mapping[str, Any]) -> list[FigureValue]:
    """How far the bridge and the nut stand from where the scale wants them, where it was fitted."""
    fit = string.get("fit") or {}
    name = {"string": named(string["name"])}
    ends = (
        ("bridge_mm", "scale_error_mm", _("%(string)s: the bridge stands too far out by") % name),
        ("nut_mm", "nut_error_mm", _("%(string)s: the nut stands too near by") % name),
    )
    return [
        FigureValue(f"{key}:{place}", label, fit[end], fit.get(f"u_{end}"), "mm", 2, SCALE)
        for end, key, label in ends
        if fit.get(end) is not None
    ]


def chart(_given: Plain, out: Plain, _before: Plain | None, was: Plain | None) -> Chart | None:
    """The picture of the reading, with the earlier one under it."""
    rows = []
    for place, string in enumerate(out["strings"]):
        known = was["strings"] if was else []
        old = {}
        if place < len(known):
            old = {line["key"]: line["off_cents"] for line in known[place]["keys"]}
        bars = [_bar(line, old.get(line["key"])) for line in string["keys"]]
        if bars:
            rows.append(Row(named(string["name"]), bars))
    if not rows:
        return None
    every = [(row.title, bar) for row in rows for bar in row.bars]
    title, worst = max(every, key=lambda pair: abs(pair[1].value))
    outside = sum(1 for _title, bar in every if bar.sign == SIGNS["outside"])
    alt = ngettext(
        "Cents per key: %(count)s key outside; the worst is %(string)s, key %(key)s, with "
        "%(cents)s cents",
        "Cents per key: %(count)s keys outside; the worst is %(string)s, key %(key)s, with "
        "%(cents)s cents",
        outside,
    ) % {"count": outside, "string": title, "key": worst.name, "cents": rounded(worst.value, 1)}
    return upright_bars(rows, unit="cents", alt=alt, before=gettext("before"), comma=uses_comma())


def _bar(line: Mapping[str, Any], before: float | None) -> Bar:
    held = limit_of(line["verdict"])
    return Bar(
        f"{line['key']}",
        line["off_cents"],
        line["u_off_cents"],
        held.lower if held else None,
        held.upper if held else None,
        before,
        SIGNS[line["verdict"]["word"]],
    )


def first_rows(case: Case) -> list[dict[str, str]]:
    """The rows of an empty sheet, named as this instrument asks."""
    return rows_of_keys(COLUMNS, case)


SHEET = Sheet(
    gauge="correction",
    label=_("keys, cents from a tuner"),
    says=_("Which tangents to move and by how much, after bridge and nut."),
    needs="may_play",
    cells=CELLS,
    columns=COLUMNS,
    to_input=to_input,
    figures=figures,
    advice=advice,
    chart=chart,
    is_handed=True,
    first_rows=first_rows,
    warnings=warnings,
    least_rows=1,
    most_rows=60,
    limits={
        "off_cents": (_("deviation of a key"), DEFAULT_LIMITS["other_cents"]),
        "scale_error_mm": (_("the bridge stands too far out by"), SCALE),
        "nut_error_mm": (_("the nut stands too near by"), SCALE),
        "worst_cents": (_("worst key, the scale taken out"), DEFAULT_LIMITS["other_cents"]),
    },
)
