"""Sums of an invoice: rounded line by line, taxed group by group, exact to the cent."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest

from repairs.einvoice.document import Allowance, Deposit, TaxGroup
from repairs.einvoice.refusals import InvoiceFigureError
from repairs.einvoice.totals import line_net, tax_groups, totals_of
from repairs.money import amount_words, money_words, rounded, share
from tests.einvoice.samples import CREDITED, DISCOUNTED, EXEMPTED, MIXED, TWO_RATES, line
from tests.einvoice.sums import NAMES, with_lines

D = Decimal


@pytest.mark.parametrize(
    ("amount", "cents"),
    [
        ("0.005", "0.01"),
        ("-0.005", "-0.01"),
        ("2.675", "2.68"),
        ("1.0049999", "1.00"),
        ("-0.001", "0.00"),
    ],
)
def test_halves_are_rounded_away_from_zero(amount, cents):
    assert str(rounded(D(amount))) == cents


def test_an_amount_is_written_for_its_reader(settings):
    assert money_words(D("1234.5"), "EUR") == "1,234.50\u00a0EUR"
    assert money_words(D("-480"), "EUR") == "−480.00\u00a0EUR"
    assert amount_words(None) == money_words(None, "EUR") == ""


def test_two_rates_with_a_deposit():
    # worked by hand: 348.00 + 45.465 → 45.47 + 12.999 → 13.00 = 406.47 at 20 %, 18.95 at 5.5 %
    totals = totals_of(TWO_RATES)

    assert [getattr(totals, name) for name in NAMES] == [
        D("425.42"),
        D("425.42"),
        D("82.33"),
        D("507.75"),
        D("357.75"),
    ]
    assert [(g.category, g.rate_pct, g.base, g.tax) for g in totals.groups] == [
        ("S", D("20"), D("406.47"), D("81.29")),
        ("S", D("5.5"), D("18.95"), D("1.04")),
    ]


def test_tax_is_reckoned_for_the_group_and_not_for_each_line():
    # three lines of 0.33 at 20 %: 0.066 each would be 0.07 × 3 = 0.21; the group has 0.99 → 0.20
    three = (line(str(n), quantity=D(1), unit_price=D("0.33")) for n in (1, 2, 3))

    assert totals_of(with_lines(*three)).vat == D("0.20")


def test_discounts_of_line_and_invoice():
    # by hand: 425.42 − 18.00 = 407.42; − 25.00 + 12.50 = 394.92; 375.97 at 20 % 75.19, 1.04
    totals = totals_of(DISCOUNTED)

    assert totals.lines_net == D("407.42")
    assert (totals.allowances, totals.charges) == (D("25.00"), D("12.50"))
    assert (totals.net, totals.vat) == (D("394.92"), D("76.23"))
    assert (totals.gross, totals.due) == (D("471.15"), D("371.15"))


def test_a_small_business_charges_no_tax():
    totals = totals_of(EXEMPTED)

    assert (totals.net, totals.vat, totals.gross) == (D("244.10"), D("0.00"), D("244.10"))
    assert totals.due == D("164.10")


def test_a_credit_note_has_positive_amounts():
    assert totals_of(CREDITED).gross == D("91.99")


def test_taxed_and_exempt_stand_in_groups_of_their_own():
    assert [(g.category, g.rate_pct) for g in totals_of(MIXED).groups] == [
        ("S", D(20)),
        ("S", D("5.5")),
        ("E", D(0)),
    ]


def test_a_rate_written_two_ways_is_one_group():
    totals = totals_of(with_lines(line("1", rate_pct=D("20")), line("2", rate_pct=D("20.00"))))

    assert len(totals.groups) == 1
    assert str(totals.groups[0].rate_pct) == "20"


def test_more_paid_than_owed_leaves_a_negative_due():
    doc = dataclasses.replace(TWO_RATES, deposits=(Deposit(amount=D("600.00")),))

    assert totals_of(doc).due == D("-92.25")


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"quantity": D("-1")}, "quantity cannot be negative"),
        ({"quantity": D("0")}, "quantity is zero"),
        ({"quantity": D("NaN")}, "quantity cannot be negative"),
        ({"quantity": D("1.23456")}, "more than 4 decimal places"),
        ({"unit_price": D("-5")}, "price cannot be negative"),
        ({"unit_price": D("1E11")}, "price is too large"),
        ({"unit_price": D("1.2345678")}, "more than 6 decimal places"),
        ({"rate_pct": D("200")}, "cannot exceed 100"),
        ({"rate_pct": D("-5")}, "rate of tax cannot be negative"),
        ({"rate_pct": D("0")}, "a rate above zero goes with “taxed” only"),
        ({"category": "E"}, "a rate above zero goes with “taxed” only"),
        ({"category": "?"}, "no category of tax"),
        ({"discount": D("9999")}, "discount is more than the line"),
        ({"discount": D("1.005")}, "more than 2 decimal places"),
    ],
)
def test_a_figure_that_cannot_be_is_refused_with_its_line(fields, says):
    with pytest.raises(InvoiceFigureError, match=says) as refusal:
        totals_of(with_lines(line("7", **fields)))

    assert "Line 7, “Rectification de la roue”" in str(refusal.value)


@pytest.mark.parametrize("rate", ["0.01", "0.50", "1.00"])
def test_the_smallest_rate_goes_with_category_s_and_no_other(rate):
    assert totals_of(with_lines(line("1", rate_pct=D(rate)))).groups[0].rate_pct == D(rate)
    with pytest.raises(InvoiceFigureError, match="a rate above zero goes with “taxed” only"):
        totals_of(with_lines(line("1", rate_pct=D(rate), category="E")))


def test_every_line_needs_its_net():
    with pytest.raises(ValueError, match="shorter"):
        tax_groups(TWO_RATES, (D("348.00"),))


def test_an_invoice_without_a_line_is_refused():
    with pytest.raises(InvoiceFigureError, match="no line to bill"):
        totals_of(with_lines())


def test_a_discount_larger_than_what_it_is_taken_off_is_refused():
    allowance = Allowance(amount=D("400"), reason="remise", rate_pct=D("5.5"))

    with pytest.raises(InvoiceFigureError, match="more than all lines"):
        totals_of(dataclasses.replace(TWO_RATES, allowances=(allowance,)))


def test_a_discount_may_be_the_whole_line_or_the_whole_group():
    one = line("1", quantity=D(1), unit_price=D("50"), discount=D("50"))
    assert line_net(one) == 0

    allowance = Allowance(amount=D("50"), reason="remise", rate_pct=D(20))
    whole = totals_of(with_lines(dataclasses.replace(one, discount=D(0)), allowances=(allowance,)))
    assert whole.net == whole.vat == whole.due == 0


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"category": "?"}, "“remise”: “[?]” is no category of tax"),
        ({"rate_pct": D(101)}, "“remise”: the rate of tax is 101 %, but it cannot exceed 100"),
        ({"amount": D("-1")}, "“remise”: the amount cannot be negative"),
        ({"amount": D("0.001")}, "“remise”: the amount has more than 2 decimal places"),
    ],
)
def test_an_allowance_that_cannot_be_is_refused_by_its_reason(fields, says):
    fine = Allowance(amount=D("1"), reason="remise", rate_pct=D(20))

    with pytest.raises(InvoiceFigureError, match=says):
        totals_of(dataclasses.replace(TWO_RATES, allowances=(dataclasses.replace(fine, **fields),)))


def test_figures_at_the_very_limit_are_taken():
    widest = line("1", quantity=D("1.2345"), unit_price=D("1.234567"), rate_pct=D(100))
    assert totals_of(with_lines(widest)).vat == D("1.52")
    assert line_net(line("1", quantity=D(1), unit_price=D("9999999999"))) == D("9999999999")
    with pytest.raises(InvoiceFigureError, match="the price is too large"):
        line_net(line("1", quantity=D(1), unit_price=D("1E10")))
    with pytest.raises(InvoiceFigureError, match="rate of tax has more than 2 decimal places"):
        totals_of(with_lines(line("1", rate_pct=D("5.555"))))


def test_a_credit_note_takes_the_tax_that_is_left_under_its_own_rate_and_no_more():
    # by hand: 0.99 at 20 % is 0.198, rounded 0.20; 0.18 of it is left on the invoice
    def left(base: str, tax: str) -> TaxGroup:
        return TaxGroup(category="S", rate_pct=D(20), base=D(base), tax=D(tax))

    other = TaxGroup(category="S", rate_pct=D("5.5"), base=D("0.99"), tax=D("0.05"))
    one = line("1", quantity=D(1), unit_price=D("0.99"), rate_pct=D(20))

    def vat(*groups: TaxGroup) -> D:
        return totals_of(with_lines(one, tax_left=groups)).vat

    assert vat() == vat(other) == D("0.20")
    assert vat(other, left("5.00", "0.18")) == D("0.18")  # never more than is left
    assert vat(other, left("5.00", "1.00")) == D("0.20")
    assert vat(other, left("0.99", "0.21")) == D("0.21")  # the whole base takes all of it


def test_a_negative_deposit_is_refused():
    with pytest.raises(InvoiceFigureError, match="amount cannot be negative"):
        totals_of(dataclasses.replace(TWO_RATES, deposits=(Deposit(amount=D("-1")),)))


def test_the_net_of_a_line_is_what_the_group_is_made_of():
    assert line_net(line(quantity=D("0.35"), unit_price=D("129.90"))) == D("45.47")
    assert share(D("406.47"), D(20)) == D("81.29")
