"""The finishing check's entry sheet: the keybox in plan and from the side, key by key."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.gauges.action.gauge import DEFAULT_LIMITS
from repairs.gauges.base.checks import between
from repairs.readings.sheets.action_advice import advice
from repairs.readings.sheets.action_cells import CELLS, COLUMNS, KINDS
from repairs.readings.sheets.action_chart import chart
from repairs.readings.sheets.base import (
    FigureValue,
    Plain,
    Sheet,
    Text,
)
from repairs.readings.sheets.common import given_only, limit_of, rows_of_keys


def to_input(values: Plain, rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    two = values.get("nut_2") is not None and values.get("bridge_2") is not None
    given: dict[str, Any] = {
        "length_mm": values["length_mm"],
        "strings": [_string(values, 1), *([_string(values, 2)] if two else [])],
        "keys": [_key(row, two=two) for row in rows],
        **given_only(values, "spacing_nut_mm", "spacing_bridge_mm"),
    }
    if values.get("lid_mm") is not None:
        given["lid"] = {
            "from_mm": 0.0,
            "to_mm": values["length_mm"] * 0.8,
            "height_mm": values["lid_mm"],
        }
    if values.get("wall_mm") is not None and values.get("wall_at_mm") is not None:
        # The gauge would call it a row of walls; here it is one cell.
        between("wall_at_mm", values["wall_at_mm"], 0.0, values["length_mm"])
        given["walls"] = [
            {"name": gettext("wall"), "at_mm": values["wall_at_mm"], "height_mm": values["wall_mm"]}
        ]
    if values.get("rim_mm") is not None and values.get("from_bridge_mm") is not None:
        given["wheel"] = {
            "from_bridge_mm": values["from_bridge_mm"],
            "rim_height_mm": values["rim_mm"],
        }
    return given


def _string(values: Plain, number: int) -> dict[str, Any]:
    return {
        "nut_height_mm": values[f"nut_{number}"],
        "bridge_height_mm": values[f"bridge_{number}"],
        **given_only(values, "diameter_mm", "amplitude_mm"),
    }


def _key(row: Plain, *, two: bool) -> dict[str, Any]:
    key = {"key": row["key"], "at_mm": [row["at_1"]], "gap_mm": [row["gap_1"]]}
    if two:
        second = row["at_2"] if row["at_2"] is not None else row["at_1"]
        key = {
            "key": row["key"],
            "at_mm": [row["at_1"], second],
            "gap_mm": [row["gap_1"], row["gap_2"]],
        }
    return {
        **key,
        **given_only(row, "flag_low_mm", "flag_high_mm", "travel_mm", "side_play_mm", "returns"),
    }


def figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """How far it can be played, then the worst of each kind of check."""
    rows = []
    ends: tuple[tuple[str, Text], ...] = (
        ("playable_up_to", _("playable up to key")),
        ("surely_up_to", _("surely playable up to key")),
    )
    for key, label in ends:
        if out[key] is not None:
            rows.append(FigureValue(key, label, out[key], None, "", 0, None))
    worst: dict[str, Mapping[str, Any]] = {}
    for check in out["checks"]:
        known = worst.get(check["kind"])
        if known is None or _gravity(check) > _gravity(known):
            worst[check["kind"]] = check
    for kind, name in KINDS.items():
        if kind in worst and worst[kind]["verdict"]["value"] is not None:
            rows.append(_figure(kind, name, worst[kind]))
    return rows


def _gravity(check: Mapping[str, Any]) -> tuple[int, float]:
    verdict = check["verdict"]
    rank = {"outside": 3, "doubtful": 2, "inside": 1}.get(verdict["word"], 0)
    limit = verdict["limit"] or {}
    ends = [end for end in (limit.get("lower"), limit.get("upper")) if end is not None]
    room = min((abs(verdict["value"] - end) for end in ends), default=0.0)
    return rank, room if rank == 3 else -room


def _figure(kind: str, label: Text, check: Mapping[str, Any]) -> FigureValue:
    verdict = check["verdict"]
    where: Text = label
    if check["key"]:
        where = _("%(label)s, worst at key %(key)s") % {"label": label, "key": check["key"]}
    return FigureValue(
        f"{kind}_mm", where, verdict["value"], verdict["u"], "mm", 2, limit_of(verdict)
    )


def warnings(out: Plain) -> list[Text]:
    """What makes the figures less sure, in words."""
    if not out["not_judged"]:
        return []
    names = ", ".join(str(KINDS[kind]) for kind in out["not_judged"])
    return [_("Not judged, since figures are missing: %(names)s.") % {"names": names}]


def first_rows(case: Case) -> list[dict[str, str]]:
    """The rows of an empty sheet, named as this instrument asks."""
    return rows_of_keys(COLUMNS, case)


SHEET = Sheet(
    gauge="action",
    label=_("finishing check of the keybox"),
    says=_("Up to which note it can be played, what stops the next, what to change."),
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
        name: (KINDS.get(name.removesuffix("_mm"), name), limit)
        for name, limit in DEFAULT_LIMITS.items()
        if name.removesuffix("_mm") in KINDS
    }
    | {
        f"{kind}_mm": (KINDS[kind], DEFAULT_LIMITS["flag_mm"]) for kind in ("flag_low", "flag_high")
    },
)
