"""What air to ask of an owner: from what the instrument is used to, and what its wood can follow.

No fixed band. A record of thirteen months shows fluctuations that have done no harm, and those may
go on (EN 15757:2010). Where the record is shorter, or where a crack has been glued since (the wood
is without stress at the humidity of the glueing, and its history proves nothing any more), the
wood decides: held wood may strain by 0.4 %, which quarter-sawn spruce reaches after a great change
of humidity and flat-sawn maple after a small one.

Where the air of that history has cracked or lifted something it has done harm, and nothing of it
may go on for that reason: the target then lies about the humidity in which the wood was whole.
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

VERSION = "climate_target 2"

DEFAULT_LIMITS: dict[str, Limit] = {
    "strain_pct": Limit(
        -0.4, 0.4, "%", "Mecklenburg, Tumosa & Erhardt 1998, yield across the grain (from memory)"
    ),
    "drop_rh_pct": Limit(None, 25.0, "% RH", "Michalski 1993"),
    # The cautious band: what is asked where nothing vouches for more, and the most that is ever
    # handed to an owner.
    "owner_rh_pct": Limit(45.0, 55.0, "% RH"),
}
LEAST_COMMON_PCT = 5.0  # no house holds its air closer: less in common is no band to ask for
ROOM_T_C = 20.0  # where a logger wrote no temperature: a lived-in room

Basis = Literal["history", "history_and_wood", "wood", "short_history", "where_whole", "cautious"]
Ends = tuple[float, float]


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
    ``basis`` says which of both decided; ``where_whole`` and ``cautious`` where the air has done
    harm. ``winter`` and ``summer`` are low and high of each half of the year, where the record has
    seen both. ``owner``, ``owner_winter`` and ``owner_summer`` are the same as handed out.
    ``driest`` is the risk of the driest hour on record.
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
    winter: Ends | None = None
    summer: Ends | None = None
    owner: Ends | None = None
    owner_winter: Ends | None = None
    owner_summer: Ends | None = None


@dataclass(frozen=True)
class Glued:
    """A crack was glued after the record: at its % RH the wood is without stress."""

    at_rh_pct: float


@dataclass(frozen=True)
class Harm:
    """A crack or lifting that the air of the record caused, and the % RH in which the wood was
    whole, None where nobody knows."""

    whole_at_rh_pct: float | None = None


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
    since: Glued | Harm | None = None,
    u_rh_pct: float = U_RH_PCT,
    held_to: dict[str, Limit] | None = None,
) -> CareTarget:
    """Return the humidity to ask for, from a record and the held parts of the instrument.

    With a whole record and nothing glued since, the history: from the lowest monthly mean plus the
    band of EN 15757 to the highest. Otherwise the part of that which the wood allows, or the wood
    alone. With harm since: about where the wood was whole, by the width of the cautious band, or
    that band itself where nobody knows. Never under 25 nor over
    75 % RH (Padfield). Raises GaugeInputError when there is neither a month of record, nor a part,
    nor harm.
    """
    chosen = held_to or DEFAULT_LIMITS
    cautious = chosen["owner_rh_pct"]
    rest = _rest(seen, since, cautious)
    wood = wood_band(parts, rest, t_c, chosen["strain_pct"]) if parts else None
    if isinstance(since, Harm):
        basis, low, high, notes = _where_whole(since, wood, rest, cautious)
    else:
        proven = seen.complete and since is None
        basis, low, high, notes = _choose(_history(seen), wood, proven)
    low, high, cut = _hard_limits(low, high)
    winter, summer = _halves(seen, basis, wood)
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
        _at_edges(parts, (low, high), (rest, t_c, u_rh_pct), chosen["strain_pct"]),
        drying_risk(
            rest,
            seen.least_rh_pct,
            held=bool(parts) or None,
            u_rh_pct=u_rh_pct,
            limit=chosen["drop_rh_pct"],
        ),
        (*notes, *cut, *seen.notes),
        winter,
        summer,
        for_owner((low, high), cautious),
        for_owner(winter, cautious),
        for_owner(summer, cautious),
    )


def _rest(seen: LogStatistics, since: Glued | Harm | None, cautious: Limit) -> float:
    """The % RH in which the wood is without stress."""
    if isinstance(since, Glued):
        return since.at_rh_pct
    if since is None:
        return seen.mean_rh_pct
    if since.whole_at_rh_pct is not None:
        return since.whole_at_rh_pct
    low, high = _ends_of(cautious)
    return (low + high) / 2.0


def _where_whole(
    harm: Harm, wood: Ends | None, rest: float, cautious: Limit
) -> tuple[Basis, float, float, tuple[str, ...]]:
    """The cautious band, laid about where the wood was whole, and no wider than the wood allows."""
    # That it lived through the rest of its history proves nothing: it is the one that cracked it.
    low, high = _ends_of(cautious)
    half = (high - low) / 2.0
    basis: Basis = "cautious" if harm.whole_at_rh_pct is None else "where_whole"
    low, high = (low, high) if basis == "cautious" else (rest - half, rest + half)
    if wood is not None:
        low, high = max(low, wood[0]), min(high, wood[1])
    return basis, low, high, ("air_did_harm",)


def _ends_of(cautious: Limit) -> Ends:
    """Both ends of the house’s cautious band; one that it left open is the hard limit."""
    low = TOO_DRY_PCT if cautious.lower is None else cautious.lower
    high = TOO_DAMP_PCT if cautious.upper is None else cautious.upper
    return low, high


def for_owner(ends: Ends | None, cautious: Limit) -> Ends | None:
    """What of a band is handed to an owner: what it has in common with the cautious band.

    An instrument that is used to other air is not dragged into the cautious band: where both have
    less than 5 % RH in common, it is asked for the part of its own that lies nearest, no wider.
    """
    if ends is None:
        return None
    low, high = _ends_of(cautious)
    common = max(ends[0], low), min(ends[1], high)
    if common[1] - common[0] >= min(LEAST_COMMON_PCT, ends[1] - ends[0]):
        return common
    width = min(ends[1] - ends[0], high - low)
    if ends[0] + ends[1] > low + high:
        return ends[0], ends[0] + width
    return ends[1] - width, ends[1]


def _halves(
    seen: LogStatistics, basis: Basis, wood: Ends | None
) -> tuple[Ends | None, Ends | None]:
    """The band of winter and that of summer, where the history counts and has seen both."""
    if "history" not in basis or seen.band is None or seen.winter is None or seen.summer is None:
        return None, None
    found = []
    for half in (seen.winter, seen.summer):
        low = half.low_pct + seen.band.used_lower_pct
        high = half.high_pct + seen.band.used_upper_pct
        if basis == "history_and_wood" and wood is not None:
            low, high = max(low, wood[0]), min(high, wood[1])
        if low >= high:
            return None, None
        found.append(_hard_limits(low, high)[:2])
    return found[0], found[1]


def _at_edges(
    parts: tuple[Part, ...], ends: Ends, air: tuple[float, float, float], limit: Limit
) -> tuple[PartAtEdge, ...]:
    rest, t_c, u_rh_pct = air
    edges: tuple[tuple[Literal["low", "high"], float], ...] = (("low", ends[0]), ("high", ends[1]))
    return tuple(
        _at_edge(part, name, (rest, rh, t_c, u_rh_pct), limit)
        for part in parts
        for name, rh in edges
    )


def _history(seen: LogStatistics) -> Ends | None:
    """Extremes that the record has proved, or, under thirteen months, that it has seen."""
    if seen.band is None or seen.season_low_pct is None or seen.season_high_pct is None:
        return None
    return (
        seen.season_low_pct + seen.band.used_lower_pct,
        seen.season_high_pct + seen.band.used_upper_pct,
    )


def _choose(
    history: Ends | None, wood: Ends | None, proven: bool
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
    if "history" in basis and seen.band is not None:
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
