"""A record's statistics at their bounds: windows, gaps, days and notes, counted by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate import statistics as module
from repairs.gauges.climate.statistics import DAY_S, moving_average, statistics


def daily(rh):
    return np.arange(len(rh), dtype=np.int64) * DAY_S, np.asarray(rh, dtype=float)


def test_the_first_whole_window_lies_fifteen_days_in():
    # 31 days hold one window whole, that of day 15; 30 days none.
    _average, whole = moving_average(*daily(np.full(31, 50.0)))
    assert np.flatnonzero(whole).tolist() == [15]
    _average, whole = moving_average(*daily(np.full(30, 50.0)))
    assert not whole.any()


def test_the_average_counts_both_ends_of_its_window():
    # Days 0 … 30 rise by one each: the middle of all 31 is day 15 itself; one day on it is 16.
    average, _whole = moving_average(*daily(np.arange(40, dtype=float)))

    assert average[15] == pytest.approx(15.0)
    assert average[20] == pytest.approx(20.0)
    # At the start the days 0 … 15: 7.5; at the end 24 … 39: 31.5.
    assert (average[0], average[39]) == (pytest.approx(7.5), pytest.approx(31.5))


def test_a_window_with_just_half_of_its_rows_is_whole():
    # Each window promises 15 rows of the usual step as its half: with 15 it is whole, with 14 not.
    # Around day 110 lie the days 95 … 125; without 95 … 109 and 111 there are 15, without 112 14.
    day = np.arange(200, dtype=np.int64)
    for last, is_whole in ((111, True), (112, False)):
        kept = day[(day < 95) | (day == 110) | (day > last)]
        _average, whole = moving_average(kept * DAY_S, np.full(len(kept), 50.0))
        assert whole[kept == 110].tolist() == [is_whole]


def test_thirteen_months_are_three_hundred_and_ninety_five_days():
    whole, short = statistics(*daily(np.full(396, 50.0))), statistics(*daily(np.full(395, 50.0)))

    assert (whole.days, whole.complete, whole.notes) == (395.0, True, ())
    assert (short.days, short.complete, short.notes) == (394.0, False, ("under_13_months",))
    # Two rows thirteen months apart are no record either.
    two = statistics(np.array([0, 400 * DAY_S]), np.array([50.0, 50.0]))
    assert (two.complete, two.notes) == (False, ("no_whole_30_days",))


def test_days_are_counted_beyond_twenty_five_and_seventy_five_not_at_them():
    # Twelve rows, half a day apart: below 25 three, above 75 four, of which three in a row.
    rh = [25, 24.9, 24, 75, 75.1, 76, 80, 75, 90, 50, 10, 50]
    time_s = np.arange(12, dtype=np.int64) * DAY_S // 2

    seen = statistics(time_s, np.array(rh, dtype=float))

    assert (seen.days_below_25, seen.days_above_75, seen.longest_above_75_days) == (1.5, 2.0, 1.5)
    assert (seen.least_rh_pct, seen.most_rh_pct) == (10, 90)
    assert seen.mean_rh_pct == pytest.approx(sum(rh) / 12)
    assert (seen.rows, seen.days, seen.without_average) == (12, 5.5, 12)
    assert seen.notes == ("no_whole_30_days", "under_13_months", "was_below_25", "was_above_75")


@pytest.mark.parametrize(("rh", "notes"), [((25, 75), 0), ((24.9, 75), 1), ((25, 75.1), 1)])
def test_just_twenty_five_and_just_seventy_five_are_not_noted(rh, notes):
    seen = statistics(*daily(rh))

    assert len([n for n in seen.notes if n.startswith("was_")]) == notes


@pytest.mark.parametrize(
    ("rh", "days"),
    [([50, 50, 50], 0), ([80, 50, 50], 1), ([50, 50, 80], 1), ([80, 80, 80], 3),
     ([80, 50, 80, 80], 2), ([80, 80, 50, 80], 2)],
)  # fmt: skip
def test_the_longest_damp_stretch_may_stand_at_an_end(rh, days):
    assert statistics(*daily(rh)).longest_above_75_days == days


def test_temperatures_that_are_not_known_are_left_out_of_their_mean():
    time_s, rh = daily([50, 50, 50])

    assert statistics(time_s, rh, np.array([10.0, math.nan, 20.0])).mean_t_c == 15.0
    assert statistics(time_s, rh, np.full(3, math.nan)).mean_t_c is None
    assert statistics(time_s, rh).mean_t_c is None


def test_two_rows_are_the_fewest():
    assert statistics(*daily([50, 52])).mean_rh_pct == 51
    with pytest.raises(GaugeInputError) as refused:
        statistics(*daily([50]))
    assert (refused.value.code, refused.value.field) == ("too_few", "rows")
    assert (refused.value.details["value"], refused.value.details["limit"]) == (1, 2)


@pytest.mark.parametrize(
    ("low", "high", "widened"), [(-10, 10, True), (-10.01, 10, False), (-10, 10.01, False)]
)
def test_a_band_of_just_ten_is_widened_to_ten_and_a_wider_one_is_used(low, high, widened):
    # Half of 200 deviations at one end and half at the other: both percentiles are the ends.
    band = module._band(daily(np.zeros(200))[0], np.tile([low, high], 100))

    assert (band.p7_pct, band.p93_pct, band.rows) == (low, high, 200)
    assert band.widened is widened
    assert (band.used_lower_pct, band.used_upper_pct) == ((-10, 10) if widened else (low, high))


def test_percentiles_seven_and_ninety_three_of_a_hundred_and_one():
    band = module._band(daily(np.zeros(101))[0], np.arange(101) / 4.0)

    assert (band.p7_pct, band.p93_pct) == pytest.approx((1.75, 23.25))


def test_the_doubt_of_a_percentile_by_leaving_out_a_month_at_a_time():
    # Three blocks of thirty equal days, at 0, 3 and 6: without the first the 7th percentile is 3
    # and the 93rd 6; without the second 0 and 6; without the third 0 and 3.
    # (3 − 1)·var(3, 0, 0) = 2·2 = 4, and of (6, 6, 3) the same: 2.
    time_s, deviations = daily(np.repeat([0.0, 3.0, 6.0], 30))

    assert module._jackknife(time_s, deviations) == pytest.approx((2.0, 2.0))
    # One block alone cannot tell; a day more makes two blocks.
    assert all(math.isnan(u) for u in module._jackknife(time_s[:30], deviations[:30]))
    assert not any(math.isnan(u) for u in module._jackknife(time_s[:31], deviations[:31]))


def test_of_a_very_long_record_every_other_row_tells_the_doubt(monkeypatch):
    monkeypatch.setattr(module, "JACKKNIFE_ROWS", 45)
    time_s, deviations = daily(np.repeat([0.0, 3.0, 6.0], 30))
    deviations[1::2] = 1000.0  # the rows between are passed over

    assert module._jackknife(time_s, deviations) == pytest.approx((2.0, 2.0))
    monkeypatch.setattr(module, "JACKKNIFE_ROWS", 46)
    assert module._jackknife(time_s, deviations) != pytest.approx((2.0, 2.0))


def test_rows_without_a_whole_window_are_counted():
    seen = statistics(*daily(np.r_[np.full(20, 40.0), np.full(20, 60.0)]))

    # Days 15 to 24 have one; there the mean goes from 20·40 + 11·60 to 11·40 + 20·60 over 31.
    assert seen.without_average == 30
    assert seen.season_low_pct == pytest.approx((20 * 40 + 11 * 60) / 31)
    assert seen.season_high_pct == pytest.approx((11 * 40 + 20 * 60) / 31)
    assert seen.band is not None and seen.band.rows == 10
