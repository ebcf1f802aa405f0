"""Moisture at which wood settles in air (EMC), and its inverse.

Source: Wood Handbook, FPL-GTR-190 (2010), Eq. 4-5, after Hailwood and Horrobin 1946; it gives the
247 cells of Table 4-2 within 0.06 % of moisture. It is a mean of softwoods and hardwoods, without
hysteresis: wood that dries to an air holds up to 2 % more than wood that was wetted to it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import only
from repairs.gauges.base.plain import maybe, needed, optional, plain
from repairs.gauges.base.registry import Plain

T_ENDS_C = (-2.0, 130.0)  # the range of the table behind Eq. 4-5


# No hysteresis, no species effect: ±1 % moisture, taken as rectangular. It is more than the doubt
# of most hygrometers, and the reason why a crack is measured again rather than trusted to a sum.
U_EMC_MODEL_PCT = 1.0 / math.sqrt(3.0)


# A good shop hygrometer, checked once a year, and a thermometer (common practice).
U_RH_PCT, U_T_C = 2.0, 0.5


_HALVINGS = 60  # of 100 % RH: beyond the last digit of a float


# Below, wood splits and varnish flakes even after a short while; above, mould grows within weeks.
TOO_DRY_PCT, TOO_DAMP_PCT = 25.0, 75.0  # Padfield, conservationphysics.org


@dataclass(frozen=True)
class Moisture:
    """EMC in % of the dry mass, its standard uncertainty, and its slope in % per % RH."""

    emc_pct: float
    u_emc_pct: float
    slope_pct_per_pct: float
    t_c: float
    rh_pct: float


def emc_pct(t_c: Floats | float, rh_pct: Floats | float) -> Any:
    """Return equilibrium moisture content in % of the dry mass; no check of the range.

    ``t_c`` in °C, ``rh_pct`` in % RH; arrays broadcast, shapes (N,) or scalar.
    ``M = 1800/W·[Kh/(1−Kh) + (K₁Kh + 2K₁K₂K²h²)/(1 + K₁Kh + K₁K₂K²h²)]``, ``h = RH/100``.
    Source: Wood Handbook, FPL-GTR-190 (2010), Eq. 4-5; Simpson 1998, FPL-RN-0268.
    """
    t = np.asarray(t_c, dtype=np.float64)
    kh = (0.805 + 0.000736 * t - 0.00000273 * t**2) * (np.asarray(rh_pct) / 100.0)
    w = 349.0 + 1.29 * t + 0.0135 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    bound = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    result = 1800.0 / w * (kh / (1.0 - kh) + bound)
    return float(result) if result.ndim == 0 else result


def emc(t_c: float, rh_pct: float, *, u_t_c: float = U_T_C, u_rh_pct: float = U_RH_PCT) -> Moisture:
    """Return the EMC with its standard uncertainty.

    The uncertainty joins that of the hygrometer and thermometer (by the slopes) and ±1 % moisture
    for hysteresis and species. Raises GaugeInputError outside −2…130 °C and 0…100 % RH.
    """
    t = between("t_c", t_c, *T_ENDS_C)
    rh = between("rh_pct", rh_pct, 0.0, 100.0)
    slope = emc_slope(t, rh)
    by_t = (emc_pct(t + 0.5, rh) - emc_pct(t - 0.5, rh)) * u_t_c
    u = math.sqrt((slope * u_rh_pct) ** 2 + by_t**2 + U_EMC_MODEL_PCT**2)
    return Moisture(emc_pct(t, rh), u, slope, t, rh)


def emc_slope(t_c: float, rh_pct: float) -> float:
    """Return dEMC/dRH in % per % by central difference over 0.2 % RH, one-sided at the ends."""
    lower, upper = max(rh_pct - 0.1, 0.0), min(rh_pct + 0.1, 100.0)
    return (emc_pct(t_c, upper) - emc_pct(t_c, lower)) / (upper - lower)


def rh_for_emc(t_c: float, emc_wanted_pct: float) -> float:
    """Return the % RH at which wood settles at ``emc_wanted_pct``, by bisection in 0…100 % RH.

    EMC grows with RH at every temperature of the range, so the bracket holds one answer; 60
    halvings leave less than 1e-15 % RH. Raises GaugeInputError when air cannot be that damp.
    """
    t = between("t_c", t_c, *T_ENDS_C)
    wanted = between("emc_pct", emc_wanted_pct, 0.0, 100.0)
    low, high = 0.0, 100.0
    most = emc_pct(t, high)
    if wanted > most:
        raise GaugeInputError(
            "no_answer",
            field="rh_pct",
            why="in saturated air at %(t_c)s °C wood settles at %(most)s %%",
            t_c=f"{t:g}",
            most=f"{most:.1f}",
        )
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if emc_pct(t, middle) < wanted else (low, middle)
    return 0.5 * (low + high)


_EMC_INPUTS = {
    "t_c": "air temperature, °C",
    "rh_pct": "relative humidity, %",
    "u_t_c": "optional: standard uncertainty of the temperature, °C",
    "u_rh_pct": "optional: standard uncertainty of the humidity, %",
    "wanted_emc_pct": "optional: moisture that is wanted; the humidity that brings it, %",
}


_INVERSE_INPUTS = {
    "t_c": "air temperature, °C",
    "emc_pct": "moisture content wanted, % of the dry mass",
    "u_emc_pct": "optional: standard uncertainty of that moisture, %",
}


def _run_emc(data: Plain) -> dict[str, Any]:
    only(data, _EMC_INPUTS)
    u_t_c = optional(data, "u_t_c", U_T_C, (0.0, 20.0))
    u_rh_pct = optional(data, "u_rh_pct", U_RH_PCT, (0.0, 30.0))
    t_c, rh_pct = needed(data, "t_c", T_ENDS_C), needed(data, "rh_pct", (0.0, 100.0))
    settled = plain(emc(t_c, rh_pct, u_t_c=u_t_c, u_rh_pct=u_rh_pct))
    wanted = maybe(data, "wanted_emc_pct", (0.0, 100.0))
    if wanted is None:
        return {**settled, "wanted_rh_pct": None, "u_wanted_rh_pct": None}
    rh = rh_for_emc(t_c, wanted)
    return {
        **settled, "wanted_rh_pct": rh, "u_wanted_rh_pct": U_EMC_MODEL_PCT / emc_slope(t_c, rh),
    }  # fmt: skip


def _run_rh(data: Plain) -> dict[str, Any]:
    only(data, _INVERSE_INPUTS)
    t_c = needed(data, "t_c", T_ENDS_C)
    wanted = needed(data, "emc_pct", (0.0, 100.0))
    u = math.hypot(U_EMC_MODEL_PCT, maybe(data, "u_emc_pct", (0.0, 30.0)) or 0.0)
    rh = rh_for_emc(t_c, wanted)
    return {"rh_pct": rh, "u_rh_pct": u / emc_slope(t_c, rh), "t_c": t_c, "emc_pct": wanted}
