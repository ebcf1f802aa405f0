"""The file of a logger in many dresses, what is counted, refused, and asked of the owner."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate.log import Oddity
from repairs.gauges.climate.logger_csv import decode, read_csv, read_rows
from repairs.gauges.climate.statistics import statistics
from tests.gauges.climate.logs import PLAIN, a_long_log, lines

DRESSES = {
    "plain": PLAIN,
    "byte order mark": "\ufeff" + PLAIN,
    "windows line ends": PLAIN.replace("\n", "\r\n"),
    "T between": PLAIN.replace(" 0", "T0"),
    "with seconds and Z": lines(
        "timestamp,temperature,humidity",
        "2025-01-01T00:00:00Z,20.1,45.5",
        "2025-01-01T01:00:00Z,20.2,46.0",
        "2025-01-01T02:00:00Z,20,47",
    ),
    "French": lines(
        "Date/Heure;Température (°C);Humidité relative (%)",
        "01/01/2025 00:00;20,1;45,5",
        "01/01/2025 01:00;20,2;46,0",
        "01/01/2025 02:00;20;47",
    ),
    "German, two columns of time": lines(
        "Seriennummer;4711",
        "",
        "Nr;Datum;Uhrzeit;rel. Luftfeuchte [%];Temperatur [°C]",
        "1;01.01.2025;00:00:00;45,5;20,1",
        "2;01.01.2025;01:00:00;46,0;20,2",
        "3;01.01.2025;02:00:00;47;20",
    ),
    "Spanish, tabs": lines(
        "Fecha y hora\tHumedad relativa\tTemperatura",
        "2025/01/01 00:00\t45.5 %\t20.1 °C",
        "2025/01/01 01:00\t46.0 %\t20.2 °C",
        "2025/01/01 02:00\t47 %\t20 °C",
    ),
    "Italian, quoted decimal commas": lines(
        "Data e ora,Umidità,Temp",
        '01-01-25 0:00,"45,5","20,1"',
        '01-01-25 1:00,"46,0","20,2"',
        '01-01-25 2:00,"47","20"',
    ),
    "American, Fahrenheit": lines(
        "Date Time,Temp (°F),RH (%)",
        "1/1/2025 12:00 AM,68.18,45.5",
        "1/1/2025 1:00 AM,68.36,46.0",
        "1/1/2025 2:00 AM,68,47",
    ),
    "offsets": lines(
        "time;RH;T",
        "2025-01-01 01:00+01:00;45.5;20.1",
        "2025-01-01 03:00+02:00;46;20.2",
        "2025-01-01 02:00Z;47;20",
    ),
    "trailing separators and blank lines": lines(
        "Zeit;HR;T;", "2025-01-01 00:00;45,5;20,1;", "", "2025-01-01 01:00;46;20,2;", "",
        "2025-01-01 02:00;47;20;",
    ),
}  # fmt: skip


@pytest.mark.parametrize("text", DRESSES.values(), ids=DRESSES.keys())
def test_the_same_log_in_every_dress(text):
    log = read_csv(text)

    assert log.rh_pct.tolist() == [45.5, 46.0, 47.0]
    assert log.t_c == pytest.approx([20.1, 20.2, 20.0])
    assert log.time_s.tolist() == [1735689600, 1735693200, 1735696800]
    assert (log.report.first, log.report.step_minutes) == ("2025-01-01T00:00:00", 60.0)


@pytest.mark.parametrize("code", ["utf-8-sig", "utf-16", "cp1252"])
def test_bytes_of_three_machines(code):
    assert read_csv(decode(DRESSES["French"].encode(code))).rh_pct[0] == 45.5


def test_the_day_is_found_by_a_date_that_shows_it():
    rows = "\n01/{0}/2025;50\n02/{0}/2025;51\n03/{0}/2025;52"

    by_month = read_csv("Date;RH" + rows.format(25))
    told = read_csv("Date;RH" + rows.format(4), day_first=False)

    assert by_month.report.day_first is False
    assert by_month.report.last == "2025-03-25T00:00:00"
    assert told.report.last == "2025-03-04T00:00:00"
    with pytest.raises(GaugeInputError, match="2025-04-01 or 2025-01-04"):
        read_csv("Date;RH" + rows.format(4))


def test_nothing_is_dropped_in_silence():
    text = lines(
        "Date,RH,T",
        "2025-01-01 00:00,50,20",  # line 2
        "2025-01-01 01:00,,20",  # 3: no humidity
        "2025-01-01 02:00,NaN,20",  # 4: no humidity
        "2025-01-01 03:00,52,---",  # 5: no temperature
        "2025-01-01 03:00,52,20",  # 6: twice
        "2025-01-01 04:00,53,20",
        "2025-01-01 04:00,55,20",  # 8: same time, other value
        "2025-01-01 09:00,56,20",  # 9: after a gap of five hours
        "2025-01-01 05:00,54,20",  # 10: earlier than the line before; the gap is four hours
        "2025-01-01 10:00,57,20",
    )

    log = read_csv(text)
    report = log.report

    assert report.rows == 10
    assert report.missing_rh == Oddity(2, (3, 4))
    assert report.missing_t == Oddity(1, (5,))
    assert report.repeated == Oddity(1, (6,))
    assert report.contradicting == Oddity(1, (8,))
    assert report.out_of_order == Oddity(1, (10,))
    assert report.used == 6 == len(log.rh_pct)
    assert report.used + 2 + 1 + 1 == report.rows
    assert log.rh_pct.tolist() == [50, 52, 54, 54, 56, 57]
    assert log.t_c[1] == 20.0
    # 00 → 03 and 05 → 09: three and four hours, of which the usual one hour is no loss.
    assert (report.gap_count, report.gap_hours) == (2, 5.0)
    assert report.longest_gaps[0].start == "2025-01-01T05:00:00"


@pytest.mark.parametrize(
    ("text", "code", "field", "row", "says"),
    [
        (PLAIN.replace("46.0", "4x.0"), "not_a_number", "RH", 3, "RH (row 3) is '4x.0'"),
        (PLAIN.replace("46.0", "1_0"), "not_a_number", "RH", 3, "not a number"),
        (PLAIN.replace("46.0", "inf"), "not_a_number", "RH", 3, "not a number"),
        (PLAIN.replace("46.0", "460"), "too_big", "RH", 3, "more than 100"),
        (PLAIN.replace("46.0", "-3"), "too_small", "RH", 3, "less than 0"),
        (PLAIN.replace("20.2", "202"), "too_big", "T", 3, "Check the unit"),
        (PLAIN.replace("01-01 01", "02-30 01"), "not_a_date", "Date", 3, "2025-02-30 01:00"),
        (PLAIN.replace("2025-01-01 01:00", ""), "not_a_date", "Date", 3, "2025-01-31 14:00"),
        (PLAIN.replace("2025-01-01 01:00", "25:99"), "not_a_date", "Date", 3, "not a date"),
        (PLAIN.replace("46.0,20.2", "46,0,20,2"), "cells", "row", 3, "5 cells and 3"),
        (PLAIN.replace(",46.0,20.2", ""), "cells", "row", 3, "1 cells and 3"),
        (PLAIN.replace("RH", "colour"), "no_column", "time, rh", None, "Date, colour, T"),
        ("", "no_column", "time, rh", None, "nothing"),
        ("Date,RH\n", "too_few", "rows", None, "at least 2"),
        ("Date,RH\n2025-01-01,\n2025-01-02,\n", "too_few", "rows", None, "at least 2"),
    ],
)
def test_a_bad_cell_is_refused_with_its_column_and_line(text, code, field, row, says):
    with pytest.raises(GaugeInputError) as refused:
        read_csv(text)

    assert (refused.value.code, refused.value.field, refused.value.row) == (code, field, row)
    assert says in refused.value.sentence()


def test_the_line_counts_the_talk_above_the_header():
    text = "Logger 7\nPlace: stairs\n\n" + PLAIN.replace("46.0", "wet")

    with pytest.raises(GaugeInputError, match=r"RH \(row 6\) is 'wet'"):
        read_csv(text)


def test_a_dew_point_is_not_taken_for_the_temperature():
    log = read_csv("Date,Dew point (°C),RH,T\n2025-01-01,9,50,20\n2025-01-02,9,51,21\n")

    assert log.t_c.tolist() == [20, 21]
    assert log.report.columns == ("Date", "RH", "T")


@settings(deadline=None, max_examples=40, derandomize=True)
@given(
    st.lists(st.floats(0, 100).map(lambda v: round(v, 2)), min_size=2, max_size=40),
    st.sampled_from([";", "\t"]),
    st.booleans(),
)
def test_what_is_written_is_read(values, separator, comma):
    cells = [f"{v}".replace(".", ",") if comma else f"{v}" for v in values]
    rows = [f"{d + 1:02d}.{d // 28 + 1:02d}.2024 0:0{d % 10}{separator}{c}"
            for d, c in enumerate(cells[:28])]  # fmt: skip

    log = read_csv("\n".join([f"Datum{separator}RF", *rows]))

    assert log.rh_pct.tolist() == values[:28]


@settings(deadline=None, max_examples=150, derandomize=True)
@given(st.text(alphabet="0123456789-/.:,; TRHDate\t\n\"'%+Z", max_size=120), st.booleans())
def test_any_text_is_read_or_refused_with_a_sentence(text, with_header):
    try:
        log = read_csv(("Date;RH;T\n" if with_header else "") + text)
    except GaugeInputError as refused:
        assert refused.sentence()
    else:
        assert len(log.time_s) == log.report.used >= 2


def test_a_file_that_is_one_endless_cell_is_refused():
    with pytest.raises(GaugeInputError, match="No columns"):
        read_csv('"' + "x" * 200_000)


def test_rows_and_csv_give_the_same():
    rows = [["2025-01-01 00:00", 45.5, 20.1], ["2025-01-01 01:00", "46,0", 20.2],
            ["2025-01-01 02:00", 47, None]]  # fmt: skip

    log = read_rows(rows)

    assert log.rh_pct.tolist() == [45.5, 46.0, 47.0]
    assert np.isnan(log.t_c[2])


@pytest.mark.parametrize("day_first", [False, True])
def test_three_hundred_thousand_rows_are_read_whole(day_first):
    """How long it takes is measured against numpy: ``manage.py measure gauges``."""
    text, rh = a_long_log(300_000, day_first=day_first)

    log = read_csv(text)

    assert log.rh_pct == pytest.approx(rh, abs=1e-9)
    assert statistics(log.time_s, log.rh_pct, log.t_c).complete


# What to ask of the owner
