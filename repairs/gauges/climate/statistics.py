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
from repairs.gauges.climate.spans import Spans, quantiles, spans
from repairs.gauges.wood.moisture import (
    _EMC_INPUTS,
    _INVERSE_INPUTS,
    TOO_DAMP_PCT,
    TOO_DRY_PCT,
    _run_emc,
    _run_rh,
)

VERSION = "climate 1"  # of the moisture; a record bears that of its target


DAY_S = 86_400
# Thin wood follows the air within weeks: what is slower than a month is a season, which it can
# follow; what is quicker is what strains it. Hence the 30 days of EN 15757.
# EN 15757:2010 (recalled, not read): wood in a house has grown used to the seasons of that house;
# what harms it is the quick swing beside the average of thirty days.
HALF_WINDOW_S = 15 * DAY_S
THIRTEEN_MONTHS_DAYS = 395.0  # a whole year of averages, which lose half a month at each end
# A month that nobody saw may have been the driest: a longer hole ends what the record proves.
MOST_HOLE_S = 2 * HALF_WINDOW_S
LEAST_COVER = 0.9  # of a stretch without such a hole; below, smaller ones have eaten a month
# Rooms are heated from October to March (common practice; north of the tropics).
WINTER_MONTHS = (10, 11, 12, 1, 2, 3)
LEAST_SEASON_DAYS = 30.0
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
class Season:
    """Extremes of the 30-day mean in one half of the year, % RH, and the days that show them."""

    low_pct: float
    high_pct: float
    days: float


@dataclass(frozen=True)
class LogStatistics:
    """What a logger tells. RH in %, times in days; ``band`` is None under 30 days.

    ``season_*`` are the extremes of the 30-day centred moving average; ``winter`` (October to
    March) and ``summer`` those of half a year, None where fewer than 30 days of it were seen.
    ``days`` goes from the first row to the last, ``covered_days`` counts what rows speak for, and
    ``whole_days`` is the longest stretch without a hole of a month. ``complete`` is False when
    that is under thirteen months: then the band says what was seen, not what the object is used
    to. ``without_average`` counts rows at the ends, or beside holes, that have no full window.
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
    covered_days: float = 0.0
    whole_days: float = 0.0
    longest_hole_days: float = 0.0
    winter: Season | None = None
    summer: Season | None = None


def moving_average(
    time_s: Seconds, rh_pct: Floats, weight_s: Floats | None = None
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the 30-day centred mean at each row, and where its window is whole; shapes (N,).

    The window holds all rows within 15 days either side, both ends counted (31 daily rows), each
    by the time for which it speaks. It is whole when it lies in the record and rows speak for at
    least half of it. ``time_s`` must grow strictly. Source: EN 15757:2010, 30-day centred average
    (from memory).
    """
    weight = spans(time_s).weight_s if weight_s is None else weight_s
    centre = rh_pct.mean()
    sums = np.concatenate(([0.0], np.cumsum(weight * (rh_pct - centre))))
    spoken = np.concatenate(([0.0], np.cumsum(weight)))
    first = np.searchsorted(time_s, time_s - HALF_WINDOW_S, side="left")
    last = np.searchsorted(time_s, time_s + HALF_WINDOW_S, side="right")
    covered = spoken[last] - spoken[first]
    average = centre + (sums[last] - sums[first]) / covered
    whole = (time_s - HALF_WINDOW_S >= time_s[0]) & (time_s + HALF_WINDOW_S <= time_s[-1])
    return average, whole & (covered >= HALF_WINDOW_S)


def statistics(time_s: Seconds, rh_pct: Floats, t_c: Floats | None = None) -> LogStatistics:
    """Return mean, season, short fluctuations and the EN 15757 band of a record.

    ``time_s``: seconds, strictly growing, shape (N,), N >= 2; ``rh_pct`` (N,) without NaN;
    ``t_c`` (N,), NaN where not known. Each row counts by the time for which it speaks.
    Source: EN 15757:2010 (from memory; see Camuffo et al., Atmosphere 13 (2022) 1344).
    """
    if len(time_s) < 2:
        raise GaugeInputError("too_few", field="rows", value=len(time_s), limit=2)
    by_time = spans(time_s)
    weight = by_time.weight_s
    average, whole = moving_average(time_s, rh_pct, weight)
    days = float(time_s[-1] - time_s[0]) / DAY_S
    whole_days = _whole_days(time_s, by_time)
    season = average[whole]
    band = _band(time_s[whole], rh_pct[whole] - season, weight[whole]) if len(season) else None
    winter, summer = _seasons(time_s[whole], season, weight[whole])
    damp = rh_pct > TOO_DAMP_PCT
    return LogStatistics(
        rows=len(rh_pct),
        days=days,
        complete=whole_days >= THIRTEEN_MONTHS_DAYS and band is not None,
        mean_rh_pct=float(np.average(rh_pct, weights=weight)),
        least_rh_pct=float(rh_pct.min()),
        most_rh_pct=float(rh_pct.max()),
        season_low_pct=float(season.min()) if len(season) else None,
        season_high_pct=float(season.max()) if len(season) else None,
        without_average=int(len(rh_pct) - len(season)),
        band=band,
        days_below_25=float(weight[rh_pct < TOO_DRY_PCT].sum()) / DAY_S,
        days_above_75=float(weight[damp].sum()) / DAY_S,
        longest_above_75_days=_longest_run(damp, by_time) / DAY_S,
        mean_t_c=_mean_of_known(t_c, weight),
        notes=_notes((days, whole_days), band, rh_pct),
        covered_days=days - float(by_time.lost_s.sum()) / DAY_S,
        whole_days=whole_days,
        longest_hole_days=float(by_time.lost_s.max()) / DAY_S,
        winter=winter,
        summer=summer,
    )


def _whole_days(time_s: Seconds, by_time: Spans) -> float:
    """The longest stretch without a hole of a month, of which rows speak for nine tenths."""
    cuts = np.flatnonzero(by_time.lost_s > MOST_HOLE_S)
    starts, ends = np.append(0, cuts + 1), np.append(cuts, len(time_s) - 1)
    lost = np.concatenate(([0.0], np.cumsum(by_time.lost_s)))
    lengths = (time_s[ends] - time_s[starts]).astype(np.float64)
    is_covered = lost[ends] - lost[starts] <= (1.0 - LEAST_COVER) * lengths
    return float((lengths * is_covered).max()) / DAY_S


def _seasons(
    time_s: Seconds, average: Floats, weight_s: Floats
) -> tuple[Season | None, Season | None]:
    months = time_s.astype("datetime64[s]").astype("datetime64[M]").astype(np.int64) % 12 + 1
    in_winter = np.isin(months, WINTER_MONTHS)
    found: list[Season | None] = []
    for rows in (in_winter, ~in_winter):
        days = float(weight_s[rows].sum()) / DAY_S
        seen = average[rows]
        is_seen = days >= LEAST_SEASON_DAYS
        found.append(Season(float(seen.min()), float(seen.max()), days) if is_seen else None)
    return found[0], found[1]


def _mean_of_known(t_c: Floats | None, weight_s: Floats) -> float | None:
    known = np.isfinite(t_c) if t_c is not None else np.zeros(0, dtype=np.bool_)
    if t_c is None or not known.any():
        return None
    return float(np.average(t_c[known], weights=weight_s[known]))


def _notes(days: tuple[float, float], band: Band | None, rh_pct: Floats) -> tuple[str, ...]:
    notes = []
    if band is None:
        notes.append("no_whole_30_days")
    if days[0] < THIRTEEN_MONTHS_DAYS:
        notes.append("under_13_months")
    elif days[1] < THIRTEEN_MONTHS_DAYS:
        notes.append("holes")
    if float(rh_pct.min()) < TOO_DRY_PCT:
        notes.append("was_below_25")
    if float(rh_pct.max()) > TOO_DAMP_PCT:
        notes.append("was_above_75")
    return tuple(notes)


def _band(time_s: Seconds, fluctuation: Floats, weight_s: Floats | None = None) -> Band:
    # The rarest 7 % on each side are cut off: what was borne for an hour a year is no proof.
    weight = np.ones(len(fluctuation)) if weight_s is None else weight_s
    p7, p93 = (float(p) for p in quantiles(fluctuation, weight, (0.07, 0.93)))
    u7, u93 = _jackknife(time_s, fluctuation, weight)
    within = p7 >= -PRACTICE_BAND_PCT and p93 <= PRACTICE_BAND_PCT
    low, high = (-PRACTICE_BAND_PCT, PRACTICE_BAND_PCT) if within else (p7, p93)
    return Band(p7, p93, u7, u93, low, high, within, len(fluctuation))


def _jackknife(
    time_s: Seconds, fluctuation: Floats, weight_s: Floats | None = None
) -> tuple[float, float]:
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
    weight = np.ones(len(values)) if weight_s is None else weight_s[thin]
    each = np.array(
        [quantiles(values[block != b], weight[block != b], (0.07, 0.93)) for b in names]
    )
    spread = np.sqrt((len(names) - 1) * each.var(axis=0))
    return float(spread[0]), float(spread[1])


def _longest_run(mask: NDArray[np.bool_], by_time: Spans) -> float:
    """Seconds of the longest stretch of rows that ``mask`` takes; a hole ends it."""
    turns = (np.diff(mask.astype(np.int8)) != 0) | by_time.is_hole
    run = np.concatenate(([0], np.cumsum(turns)))
    return float(np.bincount(run, weights=by_time.weight_s * mask).max())


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
