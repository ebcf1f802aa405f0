"""A record counts by time: settings that change, holes and summer time, worked by hand.

Each of these would have found that a fortnight of ten-minute rows outweighed half a year of hours,
and that a year with a hole of 280 days was called complete.
"""

from __future__ import annotations

import numpy as np
import pytest

from repairs.gauges.climate.clock import summer_time
from repairs.gauges.climate.logger_csv import read_csv
from repairs.gauges.climate.spans import quantiles, spans, usual_steps
from repairs.gauges.climate.statistics import DAY_S, Season, statistics
from tests.gauges.climate.logs import lines

HOUR = 3600


def at(*starts_steps_counts):
    """Times in seconds: stretches of (start in hours, step in minutes, number of rows)."""
    return np.concatenate(
        [start * HOUR + np.arange(count) * step * 60 for start, step, count in starts_steps_counts]
    ).astype(np.int64)


def test_ten_minutes_and_hours_weigh_by_their_time():
    # A day of ten-minute rows at 30 %, then three days of hourly ones at 50 %: 45 %, not 33.
    time_s = at((0, 10, 144), (24, 60, 72))
    rh = np.r_[np.full(144, 30.0), np.full(72, 50.0)]

    seen = statistics(time_s, rh, np.r_[np.full(144, 10.0), np.full(72, 20.0)])

    # Of the hour and ten minutes about the change each row speaks for half of its own step.
    assert seen.mean_rh_pct == pytest.approx(45.0, abs=0.1)
    assert seen.mean_t_c == pytest.approx(17.5, abs=0.05)
    assert not spans(time_s).is_hole.any()
    assert seen.longest_hole_days == 0


def test_the_same_air_written_more_often_for_a_while_gives_the_same_answer():
    hours = at((0, 60, 24 * 60))
    air = 50 + 10 * np.sin(hours / DAY_S)
    dense = np.union1d(hours, at((24 * 20, 10, 6 * 24 * 15)))

    plain = statistics(hours, air)
    mixed = statistics(dense, np.interp(dense, hours, air))

    assert mixed.mean_rh_pct == pytest.approx(plain.mean_rh_pct, abs=0.01)
    assert mixed.band is not None and plain.band is not None
    assert mixed.band.p7_pct == pytest.approx(plain.band.p7_pct, abs=0.05)
    assert mixed.band.p93_pct == pytest.approx(plain.band.p93_pct, abs=0.05)
    assert mixed.days_above_75 == plain.days_above_75 == 0


def test_a_year_with_a_hole_of_280_days_is_not_complete():
    day = np.arange(400, dtype=np.int64)
    kept = day[(day < 60) | (day >= 340)]

    seen = statistics(kept * DAY_S, np.full(len(kept), 50.0))

    assert (seen.days, seen.covered_days) == (399.0, 119.0)
    assert seen.longest_hole_days == 280.0
    assert (seen.complete, seen.whole_days, seen.notes) == (False, 59.0, ("holes",))
    assert statistics(day * DAY_S, np.full(400, 50.0)).complete


@pytest.mark.parametrize(
    ("missing", "complete"),
    [
        (range(100, 130), True),  # a month, no longer
        (range(100, 131), False),
        (range(0, 400, 9), False),  # a ninth: small holes have eaten more than a tenth
        (range(0, 400, 12), True),
    ],
)
def test_a_month_unseen_or_a_tenth_of_all_days_ends_the_proof(missing, complete):
    day = np.setdiff1d(np.arange(1, 400), np.asarray(missing))

    assert statistics(day.astype(np.int64) * DAY_S, np.full(len(day), 50.0)).complete is complete


def test_a_whole_stretch_after_a_hole_is_complete_by_itself():
    day = np.r_[np.arange(100), np.arange(400, 800)].astype(np.int64)

    seen = statistics(day * DAY_S, np.full(len(day), 50.0))

    assert (seen.complete, seen.whole_days, seen.longest_hole_days) == (True, 399.0, 300.0)


def test_a_hole_ends_a_damp_stretch():
    day = np.r_[np.arange(5), np.arange(45, 52)].astype(np.int64)

    seen = statistics(day * DAY_S, np.full(12, 80.0))

    assert (seen.days_above_75, seen.longest_above_75_days) == (12.0, 7.0)


def test_what_is_usual_lies_on_both_sides_of_a_change_of_setting():
    steps = np.r_[np.full(8, 10.0), np.full(8, 60.0)]
    # Five steps on each side: from the sixth on most of those that follow are hours.
    assert usual_steps(steps).tolist() == [10] * 5 + [60] * 11

    with_holes = steps.copy()
    with_holes[[3, 12]] = 300.0
    by_time = spans(np.r_[0, np.cumsum(with_holes)].astype(np.int64))
    assert np.flatnonzero(by_time.is_hole).tolist() == [3, 12]
    # Two rows after a hole, and another hole: no setting of its own.
    ends = np.r_[np.full(12, 10.0), 900.0, 800.0]
    assert spans(np.r_[0, np.cumsum(ends)].astype(np.int64)).lost_s.tolist()[-2:] == [890, 790]


def test_shares_of_time_agree_with_rows_written_as_often_as_they_weigh():
    rng = np.random.default_rng(11)
    values, weight = rng.normal(50, 5, 400), rng.integers(1, 5, 400).astype(float)

    got = quantiles(values, weight, (0.07, 0.5, 0.93))

    assert got == pytest.approx(np.quantile(np.repeat(values, weight.astype(int)),
                                            (0.07, 0.5, 0.93)), abs=0.15)  # fmt: skip
    assert quantiles(values, np.ones(400), (0.07,)) == pytest.approx(np.quantile(values, 0.07))


def test_winter_and_summer_have_their_own_extremes():
    # 42 % from October to March, 56 % from April to September, as an owner's stove makes it.
    day = np.arange(np.datetime64("2023-01-01"), np.datetime64("2025-01-01"))
    month = day.astype("datetime64[M]").astype(int) % 12 + 1
    rh = np.where((month >= 4) & (month <= 9), 56.0, 42.0)

    seen = statistics(day.astype("datetime64[s]").astype(np.int64), rh)

    assert isinstance(seen.winter, Season) and isinstance(seen.summer, Season)
    assert (seen.winter.low_pct, seen.summer.high_pct) == pytest.approx((42, 56))
    # In the month about the change the average lies between: 15 of 31 days, of one and the other.
    assert seen.winter.high_pct == pytest.approx(42 + 14 * 15 / 31, abs=0.1)
    assert seen.summer.low_pct == pytest.approx(42 + 14 * 16 / 31, abs=0.1)
    assert statistics(day[:60].astype("datetime64[s]").astype(np.int64), rh[:60]).summer is None


# Summer time


def a_night(date, step, before, after):
    """Clock times of a night: rows to ``before``, then from ``after`` on (minutes of the day)."""
    rows = [*range(0, before + 1, step), *range(after, after + 121, step)]
    return np.array([np.datetime64(date) + np.timedelta64(m, "m") for m in rows], "datetime64[s]")


@pytest.mark.parametrize(
    ("date", "step", "before", "after"),
    [
        ("2024-10-27", 10, 170, 120),  # 2:50, then 2:00 again
        ("2024-10-27", 60, 120, 120),  # 2:00 twice
        ("2024-11-03", 10, 110, 60),  # United States
        ("2024-10-27", 30, 90, 60),  # Britain: 1:30, then 1:00 again
    ],
)
def test_the_hour_that_comes_twice_in_october_is_two_hours(date, step, before, after):
    clock = a_night(date, step, before, after)
    text = lines("Time;RH", *(f"{t};{40 + n}" for n, t in enumerate(clock)))

    report = read_csv(text).report

    assert report.used == len(clock)
    assert (report.contradicting.count, report.out_of_order.count) == (0, 0)
    assert (report.gap_count, report.clock_changes) == (0, 1)
    assert (report.first, report.last) == (str(clock[0]), str(clock[-1]))


@pytest.mark.parametrize(("step", "before"), [(10, 110), (60, 60), (30, 90)])
def test_the_hour_that_is_left_out_in_march_is_no_hole(step, before):
    clock = a_night("2025-03-30", step, before, 180)
    text = lines("Time;RH", *(f"{t};{40 + n}" for n, t in enumerate(clock)))

    report = read_csv(text).report

    assert (report.gap_count, report.clock_changes) == (0, 1)
    assert read_csv(text).time_s[-1] - read_csv(text).time_s[0] == (len(clock) - 1) * step * 60


def test_between_march_and_october_lie_the_rows_of_summer_time():
    clock = np.concatenate(
        [a_night("2025-03-30", 10, 110, 180), a_night("2025-10-26", 10, 170, 120)]
    ).astype(np.int64)

    is_summer, changes = summer_time(clock)

    assert changes == 2
    assert np.flatnonzero(np.diff(is_summer.astype(int))).tolist() == [11, 24 + 18]


@pytest.mark.parametrize(
    ("date", "step", "before", "after"),
    [
        ("2025-03-29", 10, 110, 180),  # a Saturday
        ("2025-03-23", 10, 110, 180),  # a Sunday on which nobody changes clocks
        ("2025-03-30", 10, 110, 190),  # an hour and ten minutes
        ("2025-03-30", 10, 710, 780),  # at noon
    ],
)
def test_another_lost_hour_is_a_hole(date, step, before, after):
    text = lines("Time;RH", *(f"{t};{40}" for t in a_night(date, step, before, after)))

    assert (read_csv(text).report.gap_count, read_csv(text).report.clock_changes) == (1, 0)
