"""Money: rounded once, halves away from zero; prices that no tax can come to."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import translation

from repairs.law.late_payment import laws
from repairs.law.territories import eu, territory
from repairs.money import (
    NOTHING,
    amount_words,
    exact_words,
    money_words,
    net_within,
    prices_beside,
    rounded,
    share,
    total,
)

D = Decimal


@pytest.mark.parametrize(
    ("exact", "cents"),
    [
        ("0.125", "0.13"),
        ("-0.125", "-0.13"),
        ("0.124999", "0.12"),
        ("0.005", "0.01"),
        ("-0.004", "0.00"),
        ("2", "2.00"),
    ],
)
def test_halves_of_a_cent_go_away_from_zero_and_nothing_has_no_sign(exact, cents):
    assert str(rounded(D(exact))) == cents


def test_a_share_is_rounded_to_the_cent():
    assert share(D("33.33"), D("5.5")) == D("1.83")  # 1.83315


@pytest.mark.parametrize(
    ("price", "rate", "net"),
    [
        ("120.00", "20", "100.00"),
        ("22.05", "20", "18.37"),  # 18.37 comes to 22.04, 18.38 to 22.06
        ("105.50", "5.5", "100.00"),
        ("7.00", "0", "7.00"),
    ],
)
def test_the_net_within_a_price_is_the_greatest_that_does_not_exceed_it(price, rate, net):
    found = net_within(D(price), D(rate))

    assert str(found) == net
    assert found + share(found, D(rate)) <= D(price)
    above = found + D("0.01")
    assert above + share(above, D(rate)) > D(price)


def test_a_price_that_no_invoice_comes_to_has_one_below_and_one_above():
    assert prices_beside(D("22.05"), D(20)) == (D("22.04"), D("22.06"))
    assert prices_beside(D("22.06"), D(20)) == ()


def test_nothing_adds_up_to_nothing():
    assert str(total([])) == "0.00"
    assert total([D("1.10"), D("-0.20")]) == D("0.90")


def test_an_amount_is_written_as_the_reader_writes_it():
    assert amount_words(D("-1234.5")) == "−1,234.50"
    assert amount_words(None) == exact_words(None) == money_words(None, "EUR") == ""
    assert exact_words(D("-10.005")) == "−10.005"
    assert exact_words(D("1234.50")) == "1,234.50"
    assert money_words(NOTHING, "EUR") == "0.00\u00a0EUR"
    with translation.override("fr"):
        assert amount_words(D("1234.5")).replace("\u202f", "\u00a0") == "1\u00a0234,50"


def test_a_few_small_countries_charge_the_vat_of_another():
    assert (territory("MC"), territory("IM"), territory("FR")) == ("FR", "GB", "FR")
    assert {"FR", "DE"} < eu()
    assert not {"CH", "GB", "MC"} & eu()


def test_the_fixed_fee_is_40_euros_in_france_and_none_in_switzerland():
    assert (laws()["FR"]["fee"], laws()["CH"]["fee"]) == ("40.00", "0.00")
    assert "note" not in laws()
