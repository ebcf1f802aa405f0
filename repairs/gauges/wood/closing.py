"""A crack in held wood: how far a change of air closes it, and what a drop of humidity risks."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import limits, only
from repairs.gauges.base.plain import maybe, needed, optional, plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import Limit, Verdict, judge
from repairs.gauges.wood.moisture import T_ENDS_C, TOO_DRY_PCT, U_RH_PCT, emc, rh_for_emc
from repairs.gauges.wood.movement import (
    FIBRE_SATURATION_PCT,
    MOST_WIDTH_MM,
    RH_ENDS_PCT,
    U_MC_PCT,
    VERSION,
    change_mm,
    movement,
    u_of_two_airs,
)
from repairs.gauges.wood.species import WOOD_INPUTS, Grain, grain_of

# A crack closed by force in dry air opens again beside the glue in the next winter.
U_GAP_MM = 0.05  # feeler or loupe
_HALVINGS = 60  # of 30 % moisture: beyond the last digit of a float


MICHALSKI = "Michalski 1993: a rigidly held organic object, one cycle of 25 to 50 % RH"


DEFAULT_LIMITS: dict[str, Limit] = {
    "left_open_mm": Limit(None, 0.0, "mm", "geometry: nothing of the gap is left"),
    "drop_rh_pct": Limit(None, 25.0, "% RH", MICHALSKI),
}


# One drop alone. Wood also tires of many small ones, of which Michalski's figures say nothing.
FRACTURE_PROBABLE_PCT = 50.0


Risk = Literal["not_judged", "no_drying", "free", "unlikely", "becoming_probable", "probable"]


@dataclass(frozen=True)
class CrackClosing:
    """What a change of humidity does to a crack across ``width_mm`` of held wood.

    ``left_mm`` is what stays open (below 0: the edges would press), ``rh_to_close_pct`` the
    humidity at which the gap is gone, None where no gap was given or no air can do it.
    ``at_home`` says that both airs give the same moisture within 0.5 %: nothing is to come.
    """

    from_emc_pct: float
    to_emc_pct: float
    closing_mm: float
    u_closing_mm: float
    strain_pct: float
    left_mm: float | None
    u_left_mm: float | None
    rh_to_close_pct: float | None
    verdict: Verdict | None
    at_home: bool = False


@dataclass(frozen=True)
class DryingRisk:
    """How likely one drop of humidity cracks held wood; repeated drops are not judged."""

    risk: Risk
    drop_rh_pct: float | None
    u_drop_rh_pct: float | None
    below_25: bool
    verdict: Verdict | None
    source: str


@dataclass(frozen=True)
class Air:
    """A change of air: °C and % RH before and after, with the uncertainty of the hygrometer."""

    from_t_c: float
    from_rh_pct: float
    to_t_c: float
    to_rh_pct: float
    u_rh_pct: float = U_RH_PCT


def crack_closing(
    width_mm: float,
    wood: Grain,
    air: Air,
    *,
    gap_mm: float | None = None,
    u_gap_mm: float = 0.05,
    limit: Limit | None = DEFAULT_LIMITS["left_open_mm"],
) -> CrackClosing:
    """Return how far a crack closes when wood of ``width_mm`` settles in the new air.

    ``closing = ΔD(EMC₁ → EMC₂)`` (Eqs 4-5, 13-2, 13-3): positive closes. The verdict holds what
    is left of ``gap_mm`` against ``limit``. Free movement: bars and linings may hold some of it.
    Where the wood is at home already, the gap is what was read, with no doubt of any air.
    """
    before = emc(air.from_t_c, air.from_rh_pct, u_rh_pct=air.u_rh_pct)
    after = emc(air.to_t_c, air.to_rh_pct, u_rh_pct=air.u_rh_pct)
    at_home = abs(after.emc_pct - before.emc_pct) <= U_MC_PCT
    u_mc = (0.0, 0.0) if at_home else u_of_two_airs(before, after)
    # 180 mm of quarter-sawn spruce (C_R 0.00130) from 50 to 30 % RH at 20 °C shrink by 0.72 mm. A
    # crack that is closed by force in such air opens again when it is drier still.
    moved = movement(width_mm, wood, before.emc_pct, after.emc_pct, u_mc_pct=u_mc)
    left = u_left = closes_at = verdict = None
    if gap_mm is not None:
        left = between("gap_mm", gap_mm, 0.0, 50.0) - moved.change_mm
        u_left = math.hypot(moved.u_change_mm, u_gap_mm)
        verdict = judge(left, u_left, limit)
        closes_at = rh_to_close(width_mm, wood, air, gap_mm)
    return CrackClosing(
        before.emc_pct,
        after.emc_pct,
        moved.change_mm,
        moved.u_change_mm,
        moved.strain_pct,
        left,
        u_left,
        closes_at,
        verdict,
        at_home,
    )


def rh_to_close(width_mm: float, wood: Grain, air: Air, gap_mm: float) -> float | None:
    """Return the % RH, at the later temperature, that closes ``gap_mm``; None if none does.

    Moisture is found by halving between the one that the wood has and 30 %, where it stops growing.
    """
    first = emc(air.from_t_c, air.from_rh_pct).emc_pct
    low, high = first, FIBRE_SATURATION_PCT
    if change_mm(width_mm, wood, first, high) < gap_mm:
        return None
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        is_short = change_mm(width_mm, wood, first, middle) < gap_mm
        low, high = (middle, high) if is_short else (low, middle)
    # No air is damp enough for swollen walls: a gap wider than that is a loss, which only a splint
    # fills.
    try:
        return rh_for_emc(air.to_t_c, 0.5 * (low + high))
    except GaugeInputError:
        return None


def drying_risk(
    used_to_rh_pct: float | None,
    to_rh_pct: float,
    *,
    held: bool | None,
    u_rh_pct: float = U_RH_PCT,
    limit: Limit | None = DEFAULT_LIMITS["drop_rh_pct"],
) -> DryingRisk:
    """Return what a single drop of humidity risks for wood whose edges are held.

    Not judged when it is not known what the wood is used to, or whether it is held. Codes:
    ``unlikely`` (surely under 25 % RH), ``becoming_probable`` (25…50), ``probable`` (over 50).
    Source: Michalski 1993; below 25 % RH splitting even briefly: Padfield, conservationphysics.org.
    """
    to_rh = between("to_rh_pct", to_rh_pct, 0.0, 100.0)
    # Apart from the drop: below 25 % RH wood splits even in a short time (Padfield).
    below = to_rh < TOO_DRY_PCT
    if used_to_rh_pct is None or held is None:
        return DryingRisk("not_judged", None, None, below, None, MICHALSKI)
    drop = between("used_to_rh_pct", used_to_rh_pct, 0.0, 100.0) - to_rh
    u = math.sqrt(2.0) * u_rh_pct
    # A panel whose edges are free only shrinks; it is the ribs and blocks that make a crack of it.
    if drop <= 0 or not held:
        return DryingRisk("no_drying" if drop <= 0 else "free", drop, u, below, None, MICHALSKI)
    verdict = judge(drop, u, limit)
    risk: Risk = "becoming_probable"
    if verdict.word == "inside":
        risk = "unlikely"
    elif verdict.word == "not_judged":
        risk = "not_judged"
    elif drop > FRACTURE_PROBABLE_PCT:
        risk = "probable"
    return DryingRisk(risk, drop, u, below, verdict, MICHALSKI)


_CLOSING_INPUTS = {
    "width_mm": "width of the wood whose movement closes the crack, mm",
    "t_c": "temperature, °C",
    "to_t_c": "optional: temperature later, °C; the same when left out",
    "from_rh_pct": "humidity in which it has settled, %",
    "to_rh_pct": "humidity later, %",
    "gap_mm": "optional: width of the crack now, mm",
    "u_gap_mm": "optional: standard uncertainty, mm",
    "u_rh_pct": "optional: standard uncertainty of the hygrometer, %",
    "used_to_rh_pct": "optional: humidity that the wood is used to, %, for the risk of drying",
    "held": "optional: true when the edges are held",
    "limits": "optional: house limits left_open_mm, drop_rh_pct",
    **WOOD_INPUTS,
}


def _run_closing(data: Plain) -> dict[str, Any]:
    only(data, _CLOSING_INPUTS)
    held_to = limits(data, DEFAULT_LIMITS)
    air = air_of(data)
    closing = crack_closing(
        needed(data, "width_mm", (0.0, MOST_WIDTH_MM)),
        grain_of(data),
        air,
        gap_mm=maybe(data, "gap_mm", (0.0, 50.0)),
        u_gap_mm=optional(data, "u_gap_mm", U_GAP_MM, (0.0, 10.0)),
        limit=held_to["left_open_mm"],
    )
    held = data.get("held")
    if held not in (True, False, None):
        raise GaugeInputError("unknown", field="held", value=repr(held), known="true, false")
    risk = drying_risk(
        maybe(data, "used_to_rh_pct", RH_ENDS_PCT),
        air.to_rh_pct,
        held=held,
        u_rh_pct=air.u_rh_pct,
        limit=held_to["drop_rh_pct"],
    )
    return {**plain(closing), "drying": plain(risk)}


def air_of(data: Plain) -> Air:
    """Read a change of air out of plain data; the temperature stays unless ``to_t_c`` is given."""
    t_c = needed(data, "t_c", T_ENDS_C)
    return Air(
        t_c,
        needed(data, "from_rh_pct", RH_ENDS_PCT),
        optional(data, "to_t_c", t_c, T_ENDS_C),
        needed(data, "to_rh_pct", RH_ENDS_PCT),
        optional(data, "u_rh_pct", U_RH_PCT, (0.0, 30.0)),
    )


register(
    Gauge(
        "crack_closing",
        VERSION,
        "How far a crack closes when the air changes.",
        _CLOSING_INPUTS,
        _run_closing,
    )
)
