"""What the air does to wood: equilibrium moisture, its inverse, and the story of a logger.

Wood in air of a given temperature and humidity settles at its equilibrium moisture content (EMC).
A record of at least thirteen months shows what an instrument has been used to (EN 15757:2010).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from repairs.gauges.checks import Floats, between
from repairs.gauges.errors import GaugeInputError
from repairs.gauges.given import only
from repairs.gauges.plain import maybe, needed, optional, plain
from repairs.gauges.registry import Gauge, Plain, register

VERSION = "climate 1"

T_ENDS_C = (-2.0, 130.0)  # the range of the table behind Eq. 4-5
# No hysteresis, no species effect: ±1 % moisture, taken as rectangular.
U_EMC_MODEL_PCT = 1.0 / math.sqrt(3.0)
# A good shop hygrometer, checked once a year, and a thermometer (common practice).
U_RH_PCT, U_T_C = 2.0, 0.5

Seconds = NDArray[np.int64]
DAY_S = 86_400
HALF_WINDOW_S = 15 * DAY_S
THIRTEEN_MONTHS_DAYS = 395.0
TOO_DRY_PCT, TOO_DAMP_PCT = 25.0, 75.0  # Padfield, conservationphysics.org
PRACTICE_BAND_PCT = 10.0
JACKKNIFE_ROWS = 20_000


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
        why = f"in saturated air at {t:g} °C wood settles at {most:.1f} %"
        raise GaugeInputError("no_answer", field="rh_pct", why=why)
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if emc_pct(t, middle) < wanted else (low, middle)
    return 0.5 * (low + high)


@dataclass(frozen=True)
class Band:
    """Short fluctuations about the 30-day mean, in % RH, with what may be used as limits.

    ``widened`` says that the band lay within ±10 % RH and ±10 % RH is used in its place.
    """

    p7_pct: float
    p93_pct: float
    u_p7_pct: float
    u_p93_pct: float
    used_lower_pct: float
    used_upper_pct: float
    widened: bool
    rows: int


@dataclass(frozen=True)
class LogStatistics:
    """What a logger tells. RH in %, times in days; ``band`` is None under 30 days.

    ``season_*`` are the extremes of the 30-day centred moving average. ``complete`` is False
    under thirteen months: then the band says what was seen, not what the object is used to.
    ``without_average`` counts rows at the ends, or beside gaps, that have no full window.
    """

    rows: int
    days: float
    complete: bool
    mean_rh_pct: float
    least_rh_pct: float
    most_rh_pct: float
    season_low_pct: float | None
    season_high_pct: float | None
    without_average: int
    band: Band | None
    days_below_25: float
    days_above_75: float
    longest_above_75_days: float
    mean_t_c: float | None
    notes: tuple[str, ...]


def moving_average(time_s: Seconds, rh_pct: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the 30-day centred mean at each row, and where its window is whole; shapes (N,).

    The window holds all rows within 15 days either side, both ends counted (31 daily rows). It is
    whole when it lies in the record and has at least half of the rows its length promises.
    ``time_s`` must grow strictly. Source: EN 15757:2010, 30-day centred average (from memory).
    """
    centre = rh_pct.mean()
    sums = np.concatenate(([0.0], np.cumsum(rh_pct - centre)))
    first = np.searchsorted(time_s, time_s - HALF_WINDOW_S, side="left")
    last = np.searchsorted(time_s, time_s + HALF_WINDOW_S, side="right")
    count = last - first
    average = centre + (sums[last] - sums[first]) / count
    step = float(np.median(np.diff(time_s)))
    whole = (time_s - HALF_WINDOW_S >= time_s[0]) & (time_s + HALF_WINDOW_S <= time_s[-1])
    return average, whole & (count >= HALF_WINDOW_S / step)


def statistics(time_s: Seconds, rh_pct: Floats, t_c: Floats | None = None) -> LogStatistics:
    """Return mean, season, short fluctuations and the EN 15757 band of a record.

    ``time_s``: seconds, strictly growing, shape (N,), N >= 2; ``rh_pct`` (N,) without NaN;
    ``t_c`` (N,), NaN where not known. Every row counts alike.
    Source: EN 15757:2010 (from memory; see Camuffo et al., Atmosphere 13 (2022) 1344).
    """
    if len(time_s) < 2:
        raise GaugeInputError("too_few", field="rows", value=len(time_s), limit=2)
    average, whole = moving_average(time_s, rh_pct)
    days = float(time_s[-1] - time_s[0]) / DAY_S
    known = t_c[np.isfinite(t_c)] if t_c is not None else np.empty(0)
    step_days = float(np.median(np.diff(time_s))) / DAY_S
    season = average[whole]
    band = _band(time_s[whole], rh_pct[whole] - season) if len(season) else None
    return LogStatistics(
        rows=len(rh_pct),
        days=days,
        complete=days >= THIRTEEN_MONTHS_DAYS and band is not None,
        mean_rh_pct=float(rh_pct.mean()),
        least_rh_pct=float(rh_pct.min()),
        most_rh_pct=float(rh_pct.max()),
        season_low_pct=float(season.min()) if len(season) else None,
        season_high_pct=float(season.max()) if len(season) else None,
        without_average=int(len(rh_pct) - len(season)),
        band=band,
        days_below_25=float((rh_pct < TOO_DRY_PCT).sum()) * step_days,
        days_above_75=float((rh_pct > TOO_DAMP_PCT).sum()) * step_days,
        longest_above_75_days=_longest_run(rh_pct > TOO_DAMP_PCT) * step_days,
        mean_t_c=float(known.mean()) if len(known) else None,
        notes=_notes(days, band, rh_pct),
    )


def _notes(days: float, band: Band | None, rh_pct: Floats) -> tuple[str, ...]:
    notes = []
    if band is None:
        notes.append("no_whole_30_days")
    if days < THIRTEEN_MONTHS_DAYS:
        notes.append("under_13_months")
    if float(rh_pct.min()) < TOO_DRY_PCT:
        notes.append("was_below_25")
    if float(rh_pct.max()) > TOO_DAMP_PCT:
        notes.append("was_above_75")
    return tuple(notes)


def _band(time_s: Seconds, fluctuation: Floats) -> Band:
    p7, p93 = (float(p) for p in np.percentile(fluctuation, [7.0, 93.0]))
    u7, u93 = _jackknife(time_s, fluctuation)
    within = p7 >= -PRACTICE_BAND_PCT and p93 <= PRACTICE_BAND_PCT
    low, high = (-PRACTICE_BAND_PCT, PRACTICE_BAND_PCT) if within else (p7, p93)
    return Band(p7, p93, u7, u93, low, high, within, len(fluctuation))


def _jackknife(time_s: Seconds, fluctuation: Floats) -> tuple[float, float]:
    """Standard uncertainty of both percentiles, leaving out one 30-day block at a time.

    Rows of one month hang together, so the month is the block (delete-one jackknife, Efron &
    Tibshirani 1993, ch. 11). One block alone cannot tell; NaN then.
    """
    thin = slice(None, None, max(1, len(fluctuation) // JACKKNIFE_ROWS))
    block = (time_s[thin] - time_s[0]) // (2 * HALF_WINDOW_S)
    names = np.unique(block)
    if len(names) < 2:
        return math.nan, math.nan
    values = fluctuation[thin]
    each = np.array([np.percentile(values[block != b], [7.0, 93.0]) for b in names])
    spread = np.sqrt((len(names) - 1) * each.var(axis=0))
    return float(spread[0]), float(spread[1])


def _longest_run(mask: NDArray[np.bool_]) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], mask.astype(np.int8), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))


_EMC_INPUTS = {
    "t_c": "air temperature, °C",
    "rh_pct": "relative humidity, %",
    "u_t_c": "optional: standard uncertainty of the temperature, °C",
    "u_rh_pct": "optional: standard uncertainty of the humidity, %",
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
    return plain(emc(t_c, rh_pct, u_t_c=u_t_c, u_rh_pct=u_rh_pct))


def _run_rh(data: Plain) -> dict[str, Any]:
    only(data, _INVERSE_INPUTS)
    t_c = needed(data, "t_c", T_ENDS_C)
    wanted = needed(data, "emc_pct", (0.0, 100.0))
    u = math.hypot(U_EMC_MODEL_PCT, maybe(data, "u_emc_pct", (0.0, 30.0)) or 0.0)
    rh = rh_for_emc(t_c, wanted)
    return {"rh_pct": rh, "u_rh_pct": u / emc_slope(t_c, rh), "t_c": t_c, "emc_pct": wanted}


register(
    Gauge("emc", VERSION, "Moisture at which wood settles in this air.", _EMC_INPUTS, _run_emc)
)
register(
    Gauge(
        "rh_for_emc",
        VERSION,
        "Humidity that brings wood to a wanted moisture.",
        _INVERSE_INPUTS,
        _run_rh,
    )
)
