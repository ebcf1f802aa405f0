"""Rows of a logger's file: ends that are possible, words for no value, what is counted."""

from __future__ import annotations

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate.log import Gap, Oddity
from repairs.gauges.climate.logger_csv import read_csv, read_rows
from tests.gauges.climate.logs import lines


def of_cells(*cells, header="Date;RH"):
    """The log of these cells, an hour apart from the 1st of January at midnight."""
    return read_csv(lines(header, *(f"2025-01-01 {h:02d}:00;{c}" for h, c in enumerate(cells))))


def refusal_of(*cells, header="Date;RH"):
    with pytest.raises(GaugeInputError) as refused:
        of_cells(*cells, header=header)
    return refused.value


def test_the_ends_of_what_a_hygrometer_and_a_thermometer_show_are_still_read():
    log = of_cells("0;-60", "100;90", header="Date;RH;T")

    assert log.rh_pct.tolist() == [0.0, 100.0]
    assert log.t_c.tolist() == [-60.0, 90.0]


@pytest.mark.parametrize(
    ("cells", "code", "field", "row", "value", "limit"),
    [
        (("50;20", "-0.1;20"), "too_small", "RH", 3, "-0.1", "0"),
        (("50;20", "100.1;20"), "too_big", "RH", 3, "100.1", "100"),
        (("50;20", "50;-60.1"), "too_small", "T", 3, "-60.1", "-60"),
        (("50;20", "50;90.1"), "too_big", "T", 3, "90.1", "90"),
        # The first of two, and what is too small before what is too big.
        (("50;20", "101;20", "102;20"), "too_big", "RH", 3, "101", "100"),
        (("50;20", "101;20", "-1;20"), "too_small", "RH", 4, "-1", "0"),
    ],
)
def test_a_value_beyond_is_refused_with_its_line_and_the_end(cells, code, field, row, value, limit):
    found = refusal_of(*cells, header="Date;RH;T")

    assert (found.code, found.field, found.row) == (code, field, row)
    assert value in found.sentence() and limit in found.sentence()


def test_fahrenheit_is_turned_into_celsius():
    # By definition 32 °F is 0 °C, 212 °F is 100 °C and −40 is the same on both; 50 °F is 10 °C.
    log = of_cells("50;32", "50;-40", "50;50", header="Date;RH;Temp (°F)")

    assert log.t_c == pytest.approx([0.0, -40.0, 10.0])
    assert log.report.fahrenheit
    assert not of_cells("50;32", "50;40", header="Date;RH;Temp (°C)").report.fahrenheit
    # 200 °F is 93.3 °C: refused as it was typed.
    assert refusal_of("50;32", "50;200", header="Date;RH;Temp [Fahrenheit]").code == "too_big"


@pytest.mark.parametrize(
    "word", ["", "NaN", "NA", "n/a", "NULL", "none", "-", "--", "---", "#N/A", "err", "Error", "%"]
)
def test_a_word_for_no_value_is_counted_with_its_line(word):
    log = of_cells("50 %", word, "52 %")

    assert log.report.missing_rh == Oddity(1, (3,))
    assert log.rh_pct.tolist() == [50.0, 52.0]
    assert log.report.missing_t == Oddity(0, ())


@pytest.mark.parametrize("cell", ["4_5 %", "inf %", "-inf", "1e999", "5 5", "fifty", "45;;x"])
def test_a_cell_that_is_no_number_is_refused_as_it_stands(cell):
    found = refusal_of("50 %", cell, "51 %")

    assert (found.code, found.row) in (("not_a_number", 3), ("cells", 3))


@pytest.mark.parametrize("unit", ["%", " %", "% RH", " % HR", "%rF", " %"])
def test_a_unit_behind_the_number_is_passed_over(unit):
    log = of_cells(f"45,5{unit}", f"46,5{unit}")

    assert log.rh_pct.tolist() == [45.5, 46.5]
    assert log.report.decimal_comma
    assert not of_cells("45.5", "46").report.decimal_comma


def test_of_many_odd_rows_the_first_ten_are_named():
    log = of_cells("50", *[""] * 11, "51")

    assert log.report.missing_rh == Oddity(11, (3, 4, 5, 6, 7, 8, 9, 10, 11, 12))


def test_the_whole_report_of_a_small_file():
    # Steps of 60, 60, 90, 91 and 60 minutes: the usual one is 60 (the middle of five); a gap is
    # more than 90, so the third step is none; the fourth loses 31 minutes.
    clocks = ("00:00", "01:00", "02:00", "03:30", "05:01", "06:01")
    report = read_csv(
        lines("Date;HR", *(f"2025-01-01 {c};5{n}" for n, c in enumerate(clocks)))
    ).report

    assert (report.rows, report.used) == (6, 6)
    assert report.step_minutes == 60.0
    assert report.gap_hours == pytest.approx(31 / 60)
    assert report.longest_gaps == (Gap("2025-01-01T03:30:00", "2025-01-01T05:01:00", 91 / 60),)
    assert report.gap_count == 1
    assert (report.first, report.last) == ("2025-01-01T00:00:00", "2025-01-01T06:01:00")
    assert (report.separator, report.columns) == (";", ("Date", "HR"))
    for none in (report.repeated, report.contradicting, report.out_of_order, report.missing_rh):
        assert none == Oddity(0, ())


def test_of_many_gaps_the_ten_longest_are_named_longest_first():
    # Twenty-four single hours, and between them eleven gaps of 3, 4, … 13 hours.
    hours, at = [0], 0
    for gap in range(3, 14):
        hours += [at + 1, at + 2, at + 2 + gap]
        at = hours[-1]
    stamps = [str(np.datetime64("2025-01-01T00:00") + np.timedelta64(h, "h")) for h in hours]

    report = read_rows([[stamp, 50] for stamp in stamps]).report

    assert report.gap_count == 11
    assert [gap.hours for gap in report.longest_gaps] == [13, 12, 11, 10, 9, 8, 7, 6, 5, 4]
    # Each loses its length less the usual hour: 3 + … + 13 is 88, less 11.
    assert report.gap_hours == 77.0


def test_a_time_that_comes_three_times_is_averaged_and_the_first_temperature_kept():
    rows = [
        ["2025-01-01 00:00", 50, 20],
        ["2025-01-01 01:00", 51, None],
        ["2025-01-01 01:00", 51, 21],  # the same humidity again
        ["2025-01-01 01:00", 54, 23],  # another one
        ["2025-01-01 02:00", 55, None],
        ["2025-01-01 02:00", 55, None],
    ]

    with np.errstate(invalid="raise", divide="raise"):
        log = read_rows(rows)

    assert log.report.repeated == Oddity(2, (3, 6))
    assert log.report.contradicting == Oddity(1, (4,))
    assert log.report.out_of_order == Oddity(0, ())
    assert log.report.missing_t == Oddity(3, (2, 5, 6))
    assert log.rh_pct.tolist() == [50.0, 52.0, 55.0]
    # The mean of what is known: (21 + 23)/2; of the last two nothing is.
    assert log.t_c[:2].tolist() == [20.0, 22.0]
    assert np.isnan(log.t_c[2])


def test_rows_out_of_order_are_sorted_with_their_own_values():
    rows = [
        ["2025-01-01 02:00", 52, 22],
        ["2025-01-01 00:00", 50, 20],
        ["2025-01-01 01:00", 51, 21],
    ]

    log = read_rows(rows)

    assert log.rh_pct.tolist() == [50, 51, 52] and log.t_c.tolist() == [20, 21, 22]
    assert log.report.out_of_order == Oddity(1, (2,))


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([["2025-01-01", 50]], 1),
        ([["2025-01-01", 50], ["2025-01-01", 52]], 1),
        ([["2025-01-01", ""], ["2025-01-02", 52]], 1),
    ],
)
def test_one_time_alone_is_no_record(rows, said):
    with pytest.raises(GaugeInputError) as refused:
        read_rows(rows)

    assert (refused.value.code, refused.value.field) == ("too_few", "rows")
    assert f"{said}" in refused.value.sentence() and "at least 2" in refused.value.sentence()
