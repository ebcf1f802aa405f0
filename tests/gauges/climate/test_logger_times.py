"""Dates and times of a logger's file: each way of writing them, worked out by hand."""

from __future__ import annotations

import datetime as dt

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate.logger_csv import read_csv
from tests.gauges.climate.logs import lines


def the_times(header, *whens, **told):
    """When each row was written, as ISO text; the rows are given in order of time."""
    rows = (f"{when};{50 + n}" for n, when in enumerate(whens))
    log = read_csv(lines(header, *rows), **told)
    zero = dt.datetime(1970, 1, 1)  # noqa: DTZ001 - the file's own clock
    return [(zero + dt.timedelta(seconds=int(s))).isoformat() for s in log.time_s]


def the_clock(when):
    """What a time of day is read as, on the 2nd of January; before it stands the 1st."""
    _first, second = the_times("Time;RH", "2025-01-01 00:00", f"2025-01-02 {when}")
    return second.replace("2025-01-02T", "")


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("07:08:09", "07:08:09"), ("7:08:09", "07:08:09"), ("7.08", "07:08:00"),
        ("7h08", "07:08:00"), ("07:08:09.4", "07:08:09"), ("07:08:09,99", "07:08:09"),
        ("00:00:00", "00:00:00"), ("23:59:59", "23:59:59"), ("", "00:00:00"),
        ("1:05 AM", "01:05:00"), ("1:05:07 pm", "13:05:07"), ("11:59 p.m.", "23:59:00"),
        ("12:00 AM", "00:00:00"), ("12:30 a", "00:30:00"), ("12:30 PM", "12:30:00"),
        ("12:30 P.M.", "12:30:00"),
        ("07:08Z", "07:08:00"), ("07:08 +01:30", "05:38:00"), ("07:08+0130", "05:38:00"),
        ("07:08-05:15", "12:23:00"), ("07:08:09+00:00", "07:08:09"), ("1:05 PM +02:00", "11:05:00"),
    ],
)  # fmt: skip
def test_a_time_of_day_is_read_to_the_second(written, read):
    assert the_clock(written) == read


@pytest.mark.parametrize(
    "written",
    ["24:00", "23:60", "23:59:60", "0:30 AM", "0:30 PM", "13:00 PM", "13:00 AM", "7:8", "noon"],
)
def test_a_time_that_no_clock_shows_is_refused_with_its_line(written):
    with pytest.raises(GaugeInputError) as refused:
        the_clock(written)

    assert (refused.value.code, refused.value.field, refused.value.row) == ("not_a_date", "Time", 3)
    assert f"'2025-01-02 {written}'" in refused.value.sentence()


def test_a_bad_date_is_named_before_a_bad_clock_and_alone_without_one():
    with pytest.raises(GaugeInputError) as refused:
        the_times("Time;RH", "2025-01-01 25:00", "2025-13-01 01:00")
    assert (refused.value.row, "'2025-13-01 01:00'" in refused.value.sentence()) == (3, True)

    with pytest.raises(GaugeInputError) as refused:
        the_times("Datum;RH", "2025-01-01", "2025-13-01", "2025-14-01")
    assert (refused.value.row, "'2025-13-01'" in refused.value.sentence()) == (3, True)


def test_iso_dates_in_one_column_and_clocks_in_another_are_put_together():
    log = read_csv(lines("Datum;Uhrzeit;RH", "2025-01-01;01:30;50", "2025-01-01;02:15;51"))

    assert (log.report.first, log.report.last) == ("2025-01-01T01:30:00", "2025-01-01T02:15:00")
    assert log.report.columns == ("Datum", "Uhrzeit", "RH")
    assert log.report.day_first is None


def test_iso_times_of_unlike_lengths_are_read_one_by_one():
    assert the_times("Time;RH", "2025-01-01", "2025-01-01 01:02", "2025-01-01 01:02:03") == [
        "2025-01-01T00:00:00", "2025-01-01T01:02:00", "2025-01-01T01:02:03",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("first", "second", "read"),
    [
        ("01.02.2025", "03.02.2025", "2025-02-03"),
        ("1/2/25", "13/2/25", "2025-02-13"),
        ("01-02-25", "13-02-25", "2025-02-13"),
        ("2025/02/01", "2025/2/3", "2025-02-03"),
        ("2025.02.01, 00:00", "2025.02.03, 00:00", "2025-02-03"),
        # No century is added to a year that has more than two digits.
        ("01.02.202", "03.02.202", "0202-02-03"),
        ("1.2.5", "3.2.5", "2005-02-03"),
    ],
)
def test_a_date_is_read_in_each_dress(first, second, read):
    assert the_times("Time;RH", first, second)[1] == f"{read}T00:00:00"


@pytest.mark.parametrize(
    ("dates", "day_first", "last"),
    [
        # A 13 can be no month; a 12 can be either.
        (("12/11/2025", "13/11/2025"), True, "2025-11-13"),
        (("11/12/2025", "11/13/2025"), False, "2025-11-13"),
        (("2025-12-11", "2025-12-12"), None, "2025-12-12"),
        (("2025/12/11", "2025/12/12"), None, "2025-12-12"),
        # Written with points the day stands first everywhere (DIN 5008 and its likes).
        (("11.12.2025", "12.12.2025"), True, "2025-12-12"),
        # Where both are the same number nothing is to be asked.
        (("05/05/2025", "06/06/2025"), True, "2025-06-06"),
    ],
)
def test_which_of_both_is_the_day_is_told_by_a_number_above_twelve(dates, day_first, last):
    report = read_csv(lines("Date;RH", f"{dates[0]};50", f"{dates[1]};51")).report

    assert (report.day_first, report.last) == (day_first, f"{last}T00:00:00")


@pytest.mark.parametrize(
    ("dates", "row", "by_day", "by_month"),
    [
        (("11/12/2025", "12/12/2025"), 2, "2025-12-11", "2025-11-12"),
        (("12/12/2025", "01-12-2025"), 3, "2025-12-01", "2025-01-12"),
        (("1/2/25", "3/2/25"), 2, "2025-02-01", "2025-01-02"),
    ],
)
def test_a_date_that_can_be_read_two_ways_is_asked_about(dates, row, by_day, by_month):
    with pytest.raises(GaugeInputError) as refused:
        the_times("Date;RH", *dates)

    assert (refused.value.code, refused.value.field, refused.value.row) == (
        "two_ways", "day_first", row,
    )  # fmt: skip
    assert f"may be {by_day} or {by_month}" in refused.value.sentence()


@pytest.mark.parametrize(("day_first", "last"), [(True, "2025-04-03"), (False, "2025-03-04")])
def test_who_says_which_is_the_day_is_not_asked(day_first, last):
    text = lines("Date;RH", "01/02/2025;50", "03/04/2025;51")

    report = read_csv(text, day_first=day_first).report

    assert (report.day_first, report.last) == (day_first, f"{last}T00:00:00")


def test_what_was_said_of_the_day_holds_though_a_date_cannot_be_so():
    with pytest.raises(GaugeInputError) as refused:
        the_times("Date;RH", "01/02/2025", "03/14/2025", day_first=True)

    assert (refused.value.code, refused.value.row) == ("not_a_date", 3)


def test_one_date_of_four_digits_does_not_make_the_others_iso():
    with pytest.raises(GaugeInputError) as refused:
        the_times("Date;RH", "01.02.2025", "2025.02.03")

    assert (refused.value.code, refused.value.row) == ("not_a_date", 3)
