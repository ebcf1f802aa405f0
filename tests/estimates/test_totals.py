"""Sums of an option, each worked by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from repairs.estimates.compile import range_words, stop_words
from repairs.estimates.totals import Line, Rates, line_range, option_totals
from repairs.language.durations import hours_words

D = Decimal


@pytest.mark.parametrize(
    ("minutes", "rate", "worth"),
    [
        (60, "60.00", "60.00"),
        (90, "60.00", "90.00"),
        (10, "55.00", "9.17"),  # 550 / 60 = 9.1666…
        (1, "50.10", "0.84"),  # 0.835: half up, where half even says 0.84 too
        (3, "50.10", "2.51"),  # 2.505: half up, where half even says 2.50
        (0, "60.00", "0.00"),
    ],
)
def test_minutes_are_worth_their_share_of_the_rate(minutes, rate, worth):
    line = Line(minutes_low=minutes, minutes_high=minutes)

    assert line_range(line, D(rate)) == (D(worth), D(worth))


def test_a_fixed_amount_outweighs_the_minutes():
    line = Line(minutes_low=60, minutes_high=120, fixed=D("75"))

    assert line_range(line, D("60")) == (D("75.00"), D("75.00"))


def test_an_option_is_added_up_as_by_hand():
    """90–180 min at 60: 90–180; 48.60; fee 40. Net 178.60–268.60. Tax 20 %: 35.72–53.72."""
    lines = [Line(minutes_low=90, minutes_high=180), Line(fixed=D("48.60"))]
    rates = Rates(hourly_rate=D("60"), tax_pct=D("20"), survey_fee=D("40"), deposit_pct=30)

    totals = option_totals(lines, rates)

    assert (totals.minutes_low, totals.minutes_high) == (90, 180)
    assert (totals.net_low, totals.net_high) == (D("178.60"), D("268.60"))
    assert (totals.tax_low, totals.tax_high) == (D("35.72"), D("53.72"))
    assert (totals.total_low, totals.total_high) == (D("214.32"), D("322.32"))
    assert totals.deposit == D("64.30")  # 30 % of 214.32 is 64.296


def test_lines_are_rounded_before_they_are_added():
    """Three times 10 min at 55: 3 × 9.17 = 27.51, though half an hour at once is 27.50."""
    totals = option_totals([Line(minutes_low=10, minutes_high=10)] * 3, Rates(hourly_rate=D("55")))

    assert totals.net_low == D("27.51")


def test_tax_is_taken_once_on_the_sum():
    """Three lines of 0.33 at 20 %: 0.99 gives 0.20; line by line it would be 3 × 0.07 = 0.21."""
    rates = Rates(hourly_rate=D("0"), tax_pct=D("20"))

    totals = option_totals([Line(fixed=D("0.33"))] * 3, rates)

    assert (totals.tax_low, totals.total_low) == (D("0.20"), D("1.19"))


def test_without_a_ceiling_the_upper_total_is_the_ceiling_and_the_place_to_ask():
    totals = option_totals([Line(minutes_low=60, minutes_high=120)], Rates(hourly_rate=D("50")))

    assert totals.ceiling == totals.stop_at == totals.total_high == D("100.00")


@pytest.mark.parametrize(
    ("ceiling", "stop_at"),
    [
        ("200", "110.00"),  # upper total 100 and 10 %
        ("105", "105.00"),  # never above the ceiling
        ("90", "90.00"),  # an owner who can spend less than the upper total
    ],
)
def test_the_workshop_stops_at_the_margin_or_the_ceiling_whichever_comes_first(ceiling, stop_at):
    lines, rates = [Line(fixed=D("100"))], Rates(hourly_rate=D("50"), stop_pct=10)

    totals = option_totals(lines, rates, D(ceiling))

    assert (totals.ceiling, totals.stop_at) == (D(ceiling), D(stop_at))


def test_where_it_stops_is_said_in_plain_words():
    lines, rates = [Line(fixed=D("100"))], Rates(hourly_rate=D("50"))

    wide = stop_words(option_totals(lines, rates, D("200")), 10, "EUR")
    close = stop_words(option_totals(lines, rates), 10, "EUR")

    assert "before the bill passes 110.00\u00a0EUR" in wide
    assert "upper total and 10 %" in wide
    assert "ceiling of 200.00\u00a0EUR" in wide
    assert "before the bill passes 100.00\u00a0EUR" in close
    assert "10 %" not in close


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0, 0, ""),
        (45, 45, "45 min"),
        (45, 60, "45 min – 1 h"),
        (90, 125, "1 h 30 – 2 h 05"),
    ],
)
def test_hours_are_written_as_they_are_said(low, high, words):
    assert hours_words(low, high).replace("\u00a0", " ") == words


def test_a_range_of_one_amount_is_one_amount():
    assert range_words(D("10"), D("10"), "EUR") == "10.00\u00a0EUR"
    assert range_words(D("10"), D("1200"), "EUR") == "10.00 – 1,200.00\u00a0EUR"
