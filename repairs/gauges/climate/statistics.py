"""What the air does to wood: equilibrium moisture, its inverse, and the story of a logger.

Wood in air of a given temperature and humidity settles at its equilibrium moisture content (EMC).
A record of at least thirteen months shows what an instrument has been used to (EN 15757:2010).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, NDArray, Seconds, np
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.registry import Gauge, register
from repairs.gauges.wood.moisture import (
    _EMC_INPUTS,
    _INVERSE_INPUTS,
    TOO_DAMP_PCT,
    TOO_DRY_PCT,
    _run_emc,
    _run_rh,
)

VERSION = "climate 1"


DAY_S = 86_400
# Thin wood follows the air within weeks: what is slower than a month is a season, which it can
# follow; what is quicker is what strains it. Hence the 30 days of EN 15757.
# EN 15757:2010 (recalled, not read): wood in a house has grown used to the seasons of that house;
# what harms it is the quick swing beside the average of thirty days.
HALF_WINDOW_S = 15 * DAY_S
THIRTEEN_MONTHS_DAYS = 395.0  # a whole year of averages, which lose half a month at each end
# A record steadier than ±10 % RH obliges nobody to keep so still (EN 15757, from memory).
# Where the house swings less than this, it need not be held tighter (EN 15757:2010, recalled).
PRACTICE_BAND_PCT = 10.0
# A logger of a year has 50,000 rows at ten minutes. Above this number every other one is enough,
# since neighbours of ten minutes tell the same.
JACKKNIFE_ROWS = 20_000


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
    # The rarest 7 % on each side are cut off: what was borne for an hour a year is no proof.
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
