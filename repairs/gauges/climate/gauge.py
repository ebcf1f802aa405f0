"""The gauge “climate_log”: a logger's record in, what it shows and the air to ask for out."""

from __future__ import annotations

from typing import Any

from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, limits, only, rows
from repairs.gauges.base.plain import maybe, needed, optional, plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.climate.log import Log
from repairs.gauges.climate.logger_csv import read_csv, read_rows
from repairs.gauges.climate.statistics import statistics
from repairs.gauges.climate.target import (
    DEFAULT_LIMITS,
    ROOM_T_C,
    VERSION,
    Glued,
    Harm,
    Part,
    care_target,
)
from repairs.gauges.wood.moisture import (
    T_ENDS_C,
    U_RH_PCT,
)
from repairs.gauges.wood.movement import MOST_WIDTH_MM, RH_ENDS_PCT
from repairs.gauges.wood.species import WOOD_INPUTS, grain_of

_PART_INPUTS = {"part": "", "width_mm": "", **WOOD_INPUTS}


_INPUTS = {
    "csv": "text of the logger's file; or rows",
    "rows": "instead of csv: list of [time, rh_pct] or [time, rh_pct, t_c]",
    "day_first": "optional: true when 03/04/2025 is the 3rd of April; found out when left out, "
    "asked where no date tells",
    "parts": "optional: list of held parts, each part, width_mm and the wood: "
    + ", ".join(WOOD_INPUTS),
    "t_c": "optional: temperature, °C; that of the record, or 20, when left out",
    "glued_at_rh_pct": "optional: humidity at which a crack was glued after the record, %",
    "air_did_harm": "optional: true when a crack or lifting is on record that this air caused",
    "whole_at_rh_pct": "optional: humidity in which the wood was still whole, %",
    "u_rh_pct": "optional: standard uncertainty of the logger, %",
    "limits": "optional: house limits strain_pct, drop_rh_pct, owner_rh_pct",
}


def _run(data: Plain) -> dict[str, Any]:
    only(data, _INPUTS)
    held_to = limits(data, DEFAULT_LIMITS)
    parts = tuple(
        _part(part, row)
        for row, part in enumerate(rows("parts", data.get("parts") or [], least=0, most=20), 1)
    )
    log = _log(data)
    seen = statistics(log.time_s, log.rh_pct, log.t_c)
    t_c = optional(data, "t_c", seen.mean_t_c if seen.mean_t_c is not None else ROOM_T_C, T_ENDS_C)
    result = {"import": plain(log.report), "statistics": plain(seen), "target": None}
    since = _since(data)
    if parts or isinstance(since, Harm) or seen.band is not None:
        target = care_target(
            seen,
            parts,
            t_c=between("t_c", t_c, *T_ENDS_C),
            since=since,
            u_rh_pct=optional(data, "u_rh_pct", U_RH_PCT, (0.0, 30.0)),
            held_to=held_to,
        )
        result["target"] = plain(target)
    return result


def _since(data: Plain) -> Glued | Harm | None:
    """What happened in or after the record: once a crack is glued, the glue says where it rests."""
    glued_at = maybe(data, "glued_at_rh_pct", RH_ENDS_PCT)
    whole_at = maybe(data, "whole_at_rh_pct", RH_ENDS_PCT)
    did_harm = _yes_or_no(data, "air_did_harm")
    if whole_at is not None and not did_harm:
        raise GaugeInputError(
            "contradicts", field="whole_at_rh_pct", value=f"{whole_at:g}",
            other="air_did_harm", limit="false",
        )  # fmt: skip
    if glued_at is not None:
        return Glued(glued_at)
    return Harm(whole_at) if did_harm else None


def _yes_or_no(data: Plain, name: str) -> bool | None:
    said = data.get(name)
    if said is True or said is False or said is None:
        return said
    raise GaugeInputError("unknown", field=name, value=repr(said), known="true, false")


def _log(data: Plain) -> Log:
    ways = [name for name in ("csv", "rows") if not absent(data, name)]
    if len(ways) != 1:
        raise GaugeInputError("needs_one", field="csv, rows", value=len(ways))
    day_first = _yes_or_no(data, "day_first")
    if ways == ["rows"]:
        given = rows("rows", data["rows"], least=2, most=5_000_000)
        return read_rows(given, day_first=day_first)
    if not isinstance(data["csv"], str):
        raise GaugeInputError("missing", field="csv")
    return read_csv(data["csv"], day_first=day_first)


def _part(given: Any, row: int) -> Part:
    only(given, _PART_INPUTS, field="parts", row=row)
    width = needed(given, "width_mm", (1.0, MOST_WIDTH_MM), row=row)
    return Part(str(given.get("part") or row), grain_of(given, row=row), width)


register(Gauge("climate_log", VERSION, "A logger's record and the air to ask for.", _INPUTS, _run))
