"""Columns of a logger's file: the line of the header, which column is meant, broken lines."""

from __future__ import annotations

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate import logger_csv
from repairs.gauges.climate.logger_csv import decode, read_csv, read_rows
from tests.gauges.climate.logs import PLAIN, lines


@pytest.mark.parametrize(
    ("header", "first", "second", "columns"),
    [
        ("Time;RH", "2025-01-01;50", "2025-01-02;51", ("Time", "RH")),
        # A column of date and time together goes before those of either.
        ("Date;Time;Timestamp;RH", "x;y;2025-01-01;50", "x;y;2025-01-02;51", ("Timestamp", "RH")),
        ("Date;Uhrzeit;RF", "2025-01-01;1:00;50", "2025-01-01;2:00;51", ("Date", "Uhrzeit", "RF")),
        # Of two columns of one name the first.
        ("Date;RH;RH", "2025-01-01;50;90", "2025-01-02;51;91", ("Date", "RH")),
        ("RH;T;Date", "50;20;2025-01-01", "51;21;2025-01-02", ("Date", "RH", "T")),
        ("Date;Feuchte [%];Temperatura (°C)", "2025-01-01;50;20", "2025-01-02;51;21",
         ("Date", "Feuchte [%]", "Temperatura (°C)")),
        ("Data;Wilgotność względna", "2025-01-01;50", "2025-01-02;51",
         ("Data", "Wilgotność względna")),
    ],
)  # fmt: skip
def test_the_column_that_is_meant(header, first, second, columns):
    log = read_csv(lines(header, first, second))

    assert log.report.columns == columns
    assert log.rh_pct.tolist() == [50.0, 51.0]


@pytest.mark.parametrize("header", ["Place;RH", "Date;Place", "RH", "Date"])
def test_without_a_time_or_a_humidity_nothing_is_read(header):
    with pytest.raises(GaugeInputError, match="No columns"):
        read_csv(lines(header, "2025-01-01;50", "2025-01-02;51"))


def test_the_longest_line_is_shown_where_no_column_is_known_eight_cells_of_it():
    with pytest.raises(GaugeInputError) as refused:
        read_csv("a;b\nc1;c2;c3;c4;c5;c6;c7;c8;c9\nd;e\n")

    assert "c1, c2, c3, c4, c5, c6, c7, c8" in refused.value.sentence()
    assert "c9" not in refused.value.sentence()


def test_a_header_in_line_sixty_is_found_and_none_below():
    talk = "talk\n" * 59

    assert read_csv(talk + PLAIN).rh_pct.tolist() == [45.5, 46.0, 47.0]
    with pytest.raises(GaugeInputError, match="No columns"):
        read_csv("talk\n" + talk + PLAIN)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        # Too short to reach the last column that is read.
        ("2025-01-02;7", "2"), ("2025-01-02", "1"),
        # Longer than the header, by more than empty cells.
        ("2025-01-02;7;51;x;;y", "6"), ("2025-01-02;7;51;;0", "5"),
    ],
)  # fmt: skip
def test_a_broken_row_is_refused_with_its_line_and_its_cells(row, said):
    with pytest.raises(GaugeInputError) as refused:
        read_csv(lines("Date;Nr;RH;Note", "2025-01-01;7;50;", row))

    assert (refused.value.code, refused.value.field, refused.value.row) == ("cells", "row", 3)
    assert f"{said} cells and 4" in refused.value.sentence()


@pytest.mark.parametrize("row", ["2025-01-02;7;51", "2025-01-02;7;51;", "2025-01-02;7;51;;; ;"])
def test_a_row_that_lacks_or_adds_empty_cells_only_is_read(row):
    log = read_csv(lines("Date;Nr;RH;Note", "2025-01-01;7;50;good", row))

    assert log.rh_pct.tolist() == [50.0, 51.0]


def test_lines_are_counted_over_empty_ones():
    text = lines("Date;RH", "2025-01-01;50", "", "  ;", "2025-01-02;wet")

    with pytest.raises(GaugeInputError) as refused:
        read_csv(text)
    assert refused.value.row == 5


def test_quotes_around_cells_are_taken_off():
    log = read_csv(lines("Date,RH", '"2025-01-01","50"', '"2025-01-02","51"'))

    assert log.rh_pct.tolist() == [50.0, 51.0]
    assert log.report.last == "2025-01-02T00:00:00"


def test_as_many_rows_as_may_be_and_one_more(monkeypatch):
    monkeypatch.setattr(logger_csv, "MOST_ROWS", 3)
    rows = [["2025-01-01 00:00", 45.5], ["2025-01-01 01:00", 46], ["2025-01-01 02:00", 47]]

    assert read_csv(PLAIN).report.rows == read_rows(rows).report.rows == 3
    more = [*rows, ["2025-01-01 03:00", 48]]
    for read in (
        lambda: read_csv(PLAIN + "2025-01-01 03:00,48,20\n"),
        lambda: read_rows(more),
    ):
        with pytest.raises(GaugeInputError) as refused:
            read()
        assert (refused.value.code, refused.value.field) == ("too_many", "rows")
        assert "4" in refused.value.sentence() and "3" in refused.value.sentence()


@pytest.mark.parametrize("row", [["2025-01-02"], ["2025-01-02", 5, 20, 7], [], "ab", 7, {1: 2}])
def test_a_row_of_other_than_two_or_three_cells_is_refused_with_its_number(row):
    with pytest.raises(GaugeInputError) as refused:
        read_rows([["2025-01-01", 50], row, ["2025-01-03", 51]])

    assert (refused.value.code, refused.value.field, refused.value.row) == ("missing", "rows", 2)


def test_given_rows_count_from_one_and_are_never_fahrenheit():
    log = read_rows([["2025-01-01", 50], ["2025-01-02", None], ["2025-01-03", 52, 21]])

    assert log.report.missing_rh.lines == (2,)
    assert log.report.missing_t.lines == (1, 2)
    assert (log.report.fahrenheit, log.report.separator) == (False, "")
    assert log.report.columns == ("time", "rh_pct", "t_c")
    assert np.isnan(log.t_c[0]) and log.t_c[1] == 21.0


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b"\xff\xfeD\x00\xe9\x00", "Dé"), (b"\xfe\xff\x00D\x00\xe9", "Dé"),
        (b"\xef\xbb\xbfD\xc3\xa9", "Dé"), (b"D\xc3\xa9", "Dé"), (b"D\xe9", "Dé"),
        (b"D\xe9\x81", "Dé\ufffd"), (b"", ""),
    ],
)  # fmt: skip
def test_bytes_are_read_by_their_mark_or_as_they_can_be(data, text):
    assert decode(data) == text
