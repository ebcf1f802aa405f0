"""How wood moves with the air: sizes, cracks, and what a drop of humidity risks.

Movement follows the two equations of the Wood Handbook (FPL-GTR-190, ch. 13). A crack in a plate
whose edges are held opens and closes by what the whole free width would move.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, only
from repairs.gauges.base.plain import needed, optional, plain
from repairs.gauges.base.propagation import spread
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.wood.moisture import T_ENDS_C, U_EMC_MODEL_PCT, Moisture, emc
from repairs.gauges.wood.settling import SETTLING_INPUTS, settling_of
from repairs.gauges.wood.species import WOOD_INPUTS, Grain, grain_of

VERSION = "movement 2"

# Between these the Handbook's coefficients hold; outside, shrinkage is counted from green.
LINEAR_MC_PCT = (6.0, 14.0)
# One equation passes into the other over so much moisture beyond; there they differ by 2 % of the
# change, and wood knows no step.
PASSING_PCT = 2.0
# Above it water only fills the hollows of the cells: the walls, and the size, change no more.
FIBRE_SATURATION_PCT = 30.0
# Green sapwood of light woods holds twice its own mass of water (recalled).
MC_ENDS_PCT = (0.0, 200.0)
RH_ENDS_PCT = (0.0, 100.0)
MOST_WIDTH_MM = 3000.0
U_MC_PCT = 0.5  # pin meter or EMC, common practice


@dataclass(frozen=True)
class Movement:
    """Change of a size across its grain.

    ``equation`` is ``linear`` (13-2), or ``shrinkage`` (13-3) where one of both lies beyond 6…14 %.
    """

    change_mm: float
    u_change_mm: float
    final_mm: float
    strain_pct: float
    u_strain_pct: float
    equation: Literal["linear", "shrinkage"]
    c_per_pct: float
    s_pct: float
    source: str
    from_memory: bool


def linear_change_mm(
    size_mm: float, c_per_pct: float, from_mc_pct: float, to_mc_pct: float
) -> float:
    """Return ``ΔD = D·C·(M_F − M_I)`` in mm; right between 6 and 14 % moisture (Eq. 13-2)."""
    return size_mm * c_per_pct * (to_mc_pct - from_mc_pct)


def shrinkage_change_mm(
    size_mm: float, s_pct: float, from_mc_pct: float, to_mc_pct: float
) -> float:
    """Return ``ΔD = D·(M_F − M_I)/(3000/S − 30 + M_I)`` in mm, moistures capped at 30 %.

    Source: Wood Handbook, FPL-GTR-190 (2010), Eq. 13-3; there and back again gives no change.
    """
    # The denominator carries the moisture at the start, so that there and back again gives no
    # change: a coefficient alone would leave a gap after each season.
    first, last = min(from_mc_pct, FIBRE_SATURATION_PCT), min(to_mc_pct, FIBRE_SATURATION_PCT)
    return size_mm * (last - first) / (3000.0 / s_pct - FIBRE_SATURATION_PCT + first)


def change_mm(size_mm: float, wood: Grain, from_mc_pct: float, to_mc_pct: float) -> float:
    """Return the change by Eq. 13-2 in 6…14 %, by Eq. 13-3 from 2 % beyond, and between by both.

    Without a step at 6 and 14 %, and rising with the moisture throughout.
    """
    linear = linear_change_mm(size_mm, wood.c_per_pct, from_mc_pct, to_mc_pct)
    low, high = LINEAR_MC_PCT
    beyond = max(low - min(from_mc_pct, to_mc_pct), max(from_mc_pct, to_mc_pct) - high, 0.0)
    if beyond == 0.0:
        return linear
    share = min(beyond / PASSING_PCT, 1.0)
    green = shrinkage_change_mm(size_mm, wood.s_pct, from_mc_pct, to_mc_pct)
    return (1.0 - share) * linear + share * green if share < 1.0 else green


def movement(
    size_mm: float,
    wood: Grain,
    from_mc_pct: float,
    to_mc_pct: float,
    *,
    u_size_mm: float = 0.0,
    u_mc_pct: float | tuple[float, float] = U_MC_PCT,
) -> Movement:
    """Return the change of ``size_mm`` between two moistures (% of the dry mass), by ``change_mm``.

    Uncertainty: spread between trees, ``u_size_mm``, ``u_mc_pct`` at each end; of two, the second
    is common to both ends, as what the isotherm does not know of this wood. Raises
    GaugeInputError outside 0…200 % moisture.
    """
    size = positive("width_mm", size_mm, most=MOST_WIDTH_MM)
    first = between("from_mc_pct", from_mc_pct, *MC_ENDS_PCT)
    last = between("to_mc_pct", to_mc_pct, *MC_ENDS_PCT)
    linear = all(LINEAR_MC_PCT[0] <= m <= LINEAR_MC_PCT[1] for m in (first, last))
    each, both = u_mc_pct if isinstance(u_mc_pct, tuple) else (u_mc_pct, 0.0)
    values = {"size": size, "tree": 1.0, "first": first, "last": last, "both": 0.0}
    # The tree weighs most: no table knows this board, and two of one species differ by 15 %.
    us = {"size": u_size_mm, "tree": wood.u_rel, "first": each, "last": each, "both": both}

    def law(v: Mapping[str, float]) -> float:
        tree = replace(wood, c_per_pct=wood.c_per_pct * v["tree"], s_pct=wood.s_pct * v["tree"])
        return change_mm(v["size"], tree, v["first"] + v["both"], v["last"] + v["both"])

    change, u = law(values), spread(law, values, us)
    return Movement(
        change,
        u,
        size + change,
        100.0 * change / size,
        100.0 * u / size,
        "linear" if linear else "shrinkage",
        wood.c_per_pct,
        wood.s_pct,
        wood.source,
        wood.from_memory,
    )


def u_of_two_airs(before: Moisture, after: Moisture) -> tuple[float, float]:
    """Return the doubt of each of two moistures by air, and the one that both have in common.

    Hysteresis and species are one draw for a piece of wood: what its isotherm lies too high at one
    end, it lies too high at the other (JCGM 100:2008, 5.2). The hygrometer is read twice.
    """
    own = (math.sqrt(max(m.u_emc_pct**2 - U_EMC_MODEL_PCT**2, 0.0)) for m in (before, after))
    return math.hypot(*own) / math.sqrt(2.0), U_EMC_MODEL_PCT


_MOVEMENT_INPUTS = {
    "width_mm": "size across the grain, mm",
    "from_mc_pct": "moisture now, % of the dry mass; or from_rh_pct",
    "to_mc_pct": "moisture later; or to_rh_pct",
    "from_rh_pct": "instead of from_mc_pct: humidity in which it has settled, %",
    "to_rh_pct": "instead of to_mc_pct",
    "t_c": "optional: temperature for humidities, °C; 20 when left out",
    "u_width_mm": "optional: standard uncertainty, mm",
    "u_mc_pct": "optional: standard uncertainty of each moisture, %",
    **SETTLING_INPUTS,
    **WOOD_INPUTS,
}


def _run_movement(data: Plain) -> dict[str, Any]:
    only(data, _MOVEMENT_INPUTS)
    t_c = optional(data, "t_c", 20.0, T_ENDS_C)
    (first, u_first), (last, u_last) = (_moisture(data, end, t_c) for end in ("from", "to"))
    u_mc: float | tuple[float, float] = math.hypot(u_first, u_last) / math.sqrt(2.0)
    if absent(data, "u_mc_pct") and absent(data, "from_mc_pct") and absent(data, "to_mc_pct"):
        u_mc = u_of_two_airs(emc(t_c, data["from_rh_pct"]), emc(t_c, data["to_rh_pct"]))
    moved = movement(
        needed(data, "width_mm", (0.0, MOST_WIDTH_MM)),
        grain_of(data),
        first,
        last,
        u_size_mm=optional(data, "u_width_mm", 0.0, (0.0, 100.0)),
        u_mc_pct=u_mc,
    )
    settles = plain(settling_of(data))
    return {**plain(moved), "from_mc_pct": first, "to_mc_pct": last, "settling": settles}


def _moisture(data: Plain, end: str, t_c: float) -> tuple[float, float]:
    """Moisture of one end and its u, typed or by the humidity in which the wood has settled."""
    by_mc, by_rh = f"{end}_mc_pct", f"{end}_rh_pct"
    ways = [n for n in (by_mc, by_rh) if not absent(data, n)]
    if len(ways) != 1:
        raise GaugeInputError("needs_one", field=f"{by_mc}, {by_rh}", value=len(ways))
    if ways == [by_mc]:
        u_mc_pct = optional(data, "u_mc_pct", U_MC_PCT, (0.0, 30.0))
        return needed(data, by_mc, MC_ENDS_PCT), u_mc_pct
    # What the air would give in the end. A thin plate follows in days, a block in months: the
    # humidity of this morning is not yet in the wood (common practice).
    settled = emc(t_c, needed(data, by_rh, RH_ENDS_PCT))
    return settled.emc_pct, optional(data, "u_mc_pct", settled.u_emc_pct, (0.0, 30.0))


register(
    Gauge("movement", VERSION, "How wood moves with moisture.", _MOVEMENT_INPUTS, _run_movement)
)
