"""What air to ask of an owner: from what the instrument is used to, and what its wood can follow.

No fixed band. A record of thirteen months shows fluctuations that have done no harm, and those may
go on (EN 15757:2010). Where the record is shorter, or where a crack has been glued since (the wood
is without stress at the humidity of the glueing, and its history proves nothing any more), the
wood decides: held wood may strain by 0.4 %, which quarter-sawn spruce reaches after a great change
of humidity and flat-sawn maple after a small one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit, Verdict, judge
from repairs.gauges.climate.statistics import LogStatistics
from repairs.gauges.wood.closing import DryingRisk, drying_risk
from repairs.gauges.wood.moisture import (
    TOO_DAMP_PCT,
    TOO_DRY_PCT,
    U_RH_PCT,
    emc,
    emc_pct,
    emc_slope,
    rh_for_emc,
)
from repairs.gauges.wood.movement import Movement, movement
from repairs.gauges.wood.species import Grain

VERSION = "climate_target 1"

DEFAULT_LIMITS: dict[str, Limit] = {
    "strain_pct": Limit(
        -0.4, 0.4, "%", "Mecklenburg, Tumosa & Erhardt 1998, yield across the grain (from memory)"
    ),
    "drop_rh_pct": Limit(None, 25.0, "% RH", "Michalski 1993"),
}
ROOM_T_C = 20.0  # where a logger wrote no temperature: a lived-in room

Basis = Literal["history", "history_and_wood", "wood", "short_history"]


@dataclass(frozen=True)
class Part:
    """A held piece of wood: what it is called, how it moves, how wide it is across the grain."""

    name: str
    wood: Grain
    width_mm: float


@dataclass(frozen=True)
class PartAtEdge:
    """What one part would do, held, between the humidity without stress and one edge.

    Strain below 0 pulls (drying), above 0 presses. ``verdict`` holds the strain against the limit.
    """

    part: str
    edge: Literal["low", "high"]
    change_mm: float
    u_change_mm: float
    verdict: Verdict


@dataclass(frozen=True)
class CareTarget:
    """What the care sheet asks for. RH in %.

    ``low_rh_pct`` … ``high_rh_pct`` hold all year; ``short_low_pct`` and ``short_high_pct`` are
    how far the air may leave the mean of the month. ``rest_rh_pct`` is where the wood is without
    stress; ``wood_low_pct`` … ``wood_high_pct`` what the tightest part allows from there.
    ``basis`` says which of both decided. ``driest`` is the risk of the driest hour on record.
    """

    basis: Basis
    rest_rh_pct: float
    low_rh_pct: float
    high_rh_pct: float
    u_edge_pct: float
    short_low_pct: float | None
    short_high_pct: float | None
    wood_low_pct: float | None
    wood_high_pct: float | None
    parts: tuple[PartAtEdge, ...]
    driest: DryingRisk
    notes: tuple[str, ...]


def wood_band(
    parts: tuple[Part, ...], rest_rh_pct: float, t_c: float, limit: Limit
) -> tuple[float, float]:
    """Return the % RH between which no held part strains beyond ``limit`` (in %).

    Eq. 4-5 gives the moisture at rest, Eq. 13-2 the moisture of the strain, the inverse of Eq. 4-5
    its humidity: ``RH = EMC⁻¹(EMC(RH₀) + ε/C)``. Open ends of the limit give 0 and 100 % RH.
    """
    rest = emc_pct(t_c, rest_rh_pct)
    most = max(part.wood.c_per_pct for part in parts)
    ends = []
    for strain, open_end in ((limit.lower, 0.0), (limit.upper, 100.0)):
        wanted = math.inf if strain is None else rest + strain / 100.0 / most
        if strain is None or not 0.0 < wanted < emc_pct(t_c, 100.0):
            ends.append(open_end)
        else:
            ends.append(rh_for_emc(t_c, wanted))
    return ends[0], ends[1]


def care_target(
    seen: LogStatistics,
    parts: tuple[Part, ...] = (),
    *,
    t_c: float = ROOM_T_C,
    glued_at_rh_pct: float | None = None,
    u_rh_pct: float = U_RH_PCT,
    held_to: dict[str, Limit] | None = None,
) -> CareTarget:
    """Return the humidity to ask for, from a record and the held parts of the instrument.

    With a whole record and nothing glued since, the history: from the lowest monthly mean plus the
    band of EN 15757 to the highest. Otherwise the part of that which the wood allows, or the wood
    alone. Never under 25 nor over 75 % RH (Padfield). Raises GaugeInputError when there is neither
    a month of record nor a part.
    """
    chosen = held_to or DEFAULT_LIMITS
    rest = seen.mean_rh_pct if glued_at_rh_pct is None else glued_at_rh_pct
    proven = seen.complete and glued_at_rh_pct is None
    wood = wood_band(parts, rest, t_c, chosen["strain_pct"]) if parts else None
    history = _history(seen)
    basis, low, high, notes = _choose(history, wood, proven)
    low, high, cut = _hard_limits(low, high)
    edges = (("low", low), ("high", high))
    return CareTarget(
        basis,
        rest,
        low,
        high,
        _u_edge(seen, (basis, u_rh_pct, t_c, rest), parts, chosen["strain_pct"]),
        seen.band.used_lower_pct if seen.band else None,
        seen.band.used_upper_pct if seen.band else None,
        wood[0] if wood else None,
        wood[1] if wood else None,
        tuple(
            _at_edge(part, name, (rest, rh, t_c, u_rh_pct), chosen["strain_pct"])  # type: ignore[arg-type]
            for part in parts
            for name, rh in edges
        ),
        drying_risk(
            rest,
            seen.least_rh_pct,
            held=bool(parts) or None,
            u_rh_pct=u_rh_pct,
            limit=chosen["drop_rh_pct"],
        ),
        (*notes, *cut, *seen.notes),
    )


def _history(seen: LogStatistics) -> tuple[float, float] | None:
    """Extremes that the record has proved, or, under thirteen months, that it has seen."""
    if seen.band is None or seen.season_low_pct is None or seen.season_high_pct is None:
        return None
    return (
        seen.season_low_pct + seen.band.used_lower_pct,
        seen.season_high_pct + seen.band.used_upper_pct,
    )


def _choose(
    history: tuple[float, float] | None, wood: tuple[float, float] | None, proven: bool
) -> tuple[Basis, float, float, tuple[str, ...]]:
    if history is not None and (proven or wood is None):
        return ("history" if proven else "short_history"), *history, ()
    if wood is None:
        raise GaugeInputError(
            "no_answer",
            field="low_rh_pct",
            why="the record has no whole month and no part is given",
        )
    if history is None:
        return "wood", *wood, ()
    low, high = max(history[0], wood[0]), min(history[1], wood[1])
    if low >= high:
        return "wood", *wood, ("rest_outside_history",)
    return "history_and_wood", low, high, ()


def _hard_limits(low: float, high: float) -> tuple[float, float, tuple[str, ...]]:
    """Cut at 25 and 75 % RH. A band wholly beyond becomes the limit and the 10 % RH beside it."""
    # It may have lived through worse: that it has not cracked yet is no reason to ask for that.
    cut = []
    if low < TOO_DRY_PCT:
        cut.append("cut_at_25")
    if high > TOO_DAMP_PCT:
        cut.append("cut_at_75")
    low = min(max(low, TOO_DRY_PCT), TOO_DAMP_PCT - 10.0)
    high = max(min(high, TOO_DAMP_PCT), TOO_DRY_PCT + 10.0)
    return low, high, tuple(cut)


def _u_edge(
    seen: LogStatistics,
    by: tuple[Basis, float, float, float],
    parts: tuple[Part, ...],
    limit: Limit,
) -> float:
    """Standard uncertainty of an edge: hygrometer, and record or spread of the wood."""
    basis, u_rh_pct, t_c, rest = by
    shares = [u_rh_pct]
    if basis != "wood" and seen.band is not None:
        known = (u for u in (seen.band.u_p7_pct, seen.band.u_p93_pct) if math.isfinite(u))
        shares.append(max(known, default=0.0))
    if basis in ("wood", "history_and_wood"):
        tightest = max(parts, key=lambda part: part.wood.c_per_pct).wood
        strain = max(abs(limit.lower or 0.0), abs(limit.upper or 0.0)) / 100.0
        moisture = strain / tightest.c_per_pct * tightest.u_rel
        shares.append(moisture / emc_slope(t_c, rest))
    return math.hypot(*shares)


def _at_edge(
    part: Part,
    edge: Literal["low", "high"],
    air: tuple[float, float, float, float],
    limit: Limit,
) -> PartAtEdge:
    rest, rh, t_c, u_rh_pct = air
    first, last = emc(t_c, rest, u_rh_pct=u_rh_pct), emc(t_c, rh, u_rh_pct=u_rh_pct)
    # Both moistures lie on the same isotherm of the same wood: its ±1 % mostly cancels, and what
    # is left between them is the hygrometer.
    u_mc = math.hypot(first.slope_pct_per_pct, last.slope_pct_per_pct) * u_rh_pct / math.sqrt(2.0)
    moved: Movement = movement(part.width_mm, part.wood, first.emc_pct, last.emc_pct, u_mc_pct=u_mc)
    verdict = judge(moved.strain_pct, moved.u_strain_pct, limit)
    return PartAtEdge(part.name, edge, moved.change_mm, moved.u_change_mm, verdict)
