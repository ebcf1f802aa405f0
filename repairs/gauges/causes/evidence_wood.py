"""What the log of the air, the set of strings and a crack say of causes."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from repairs.gauges.causes.evidence_cards import role_of
from repairs.gauges.causes.net import Value
from repairs.gauges.climate.log import Log
from repairs.gauges.climate.logger_csv import read_csv, read_rows

Plain = Mapping[str, Any]
LAST_S = 10 * 86_400
U_RH_PCT = 2.0


def climate_values(given: Plain, out: Plain) -> list[Value]:
    """Mean humidity of the last ten days; of the whole record where its rows are not at hand."""
    u = float(given.get("u_rh_pct") or U_RH_PCT)
    if given.get("rows"):
        log = read_rows(given["rows"], day_first=given.get("day_first"))
        return [Value("rh_pct", _last_days(log), u)]
    if given.get("csv"):
        return [Value("rh_pct", _of_file(given["csv"], given.get("day_first")), u)]
    found = (out.get("statistics") or {}).get("mean_rh_pct")
    return [] if found is None else [Value("rh_pct", float(found), u)]


@lru_cache(maxsize=8)
def _of_file(text: str, day_first: bool | None) -> float:
    """A file of years takes its time; a page asks for it again and again."""
    return _last_days(read_csv(text, day_first=day_first))


def _last_days(log: Log) -> float:
    return float(log.rh_pct[log.time_s >= log.time_s.max() - LAST_S].mean())


def set_values(_given: Plain, out: Plain) -> list[Value]:
    """Tension of each chanterelle, load of all, thickness of the trompette."""
    found, rows = [], out.get("strings") or []
    for row in rows:
        name = str(row.get("name") or "")
        role = role_of(name)
        if role == "chanterelle" and row.get("tension_n"):
            u = float(row.get("u_tension_n") or 0.0)
            found.append(Value("tension_n", float(row["tension_n"]), u, name))
        if role == "trompette" and row.get("gut_equivalent_mm"):
            u = float(row.get("u_gut_equivalent_mm") or 0.0)
            found.append(Value("trompette_mm", float(row["gut_equivalent_mm"]), u))
    load = out.get("load_n")
    if load and len(rows) > 4:  # fewer strings are not the whole set
        found.append(Value("load_n", float(load), float(out.get("u_load_n") or 0.0)))
    return found


def crack_values(given: Plain, _out: Plain) -> list[Value]:
    """The gap of a crack, where it was read."""
    gap = given.get("gap_mm")
    u = float(given.get("u_gap_mm") or 0.02)
    return [] if gap is None else [Value("crack_gap_mm", float(gap), u)]
