"""Files of others at the very limit: what is tolerated, what is told, and what is fatal."""

from __future__ import annotations

import dataclasses
import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from repairs.einvoice.check.received import _bases, _lines, _mentions, _sums
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.read.received import FiveTotals, ReadAmount, ReadInvoice, ReadLine
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.ubl import build_ubl
from tests.einvoice.samples import CREDITED, TWO_RATES

D = Decimal
CII = build_cii(TWO_RATES)
READ = read_xml(CII, "x")
UNTOLD = FiveTotals(lines_net=None, net=None, vat=None, gross=None, due=None)


def changed(**fields: Any) -> ReadInvoice:
    return dataclasses.replace(READ, **fields)


def stated(**fields: Any) -> ReadInvoice:
    return changed(stated=dataclasses.replace(READ.stated, **fields))


def a_line(**fields: Any) -> ReadLine:
    return dataclasses.replace(READ.lines[0], **fields)


@pytest.mark.parametrize(
    ("fields", "net"),
    [
        ({"quantity": D(3), "price": D("4.333")}, "13.00"),  # 12.999
        ({"quantity": D(250), "price": D("4"), "price_of": D(100)}, "10.00"),
        ({"quantity": D(3), "price": D("4.333"), "taken_off": D("1.50")}, "11.50"),
        ({"quantity": D(3), "price": D("4.333"), "taken_off": D("-2")}, "15.00"),  # a charge
        ({"quantity": None}, None),
        ({"price": None}, None),
        ({"price_of": D(0)}, None),
    ],
)
def test_the_net_that_a_line_ought_to_have(fields, net):
    assert a_line(**fields).expected_net == (net and D(net))


@pytest.mark.parametrize(
    ("net", "told"),
    [(D("348.00"), False), (D("348.01"), True), (D("347.99"), True), (None, False)],
)
def test_a_line_that_is_off_by_a_cent_is_told(net, told):
    """7.25 × 48.00 is 348.00."""
    found = list(_lines(changed(lines=(a_line(net=net),))))

    assert [one.flag for one in found] == ["warning"] * told
    if told:
        assert found[0].text == (f"Line 1 is stated as {net}, but quantity × price is 348.00.")


def test_a_line_without_quantity_is_not_judged():
    assert list(_lines(changed(lines=(a_line(quantity=None),)))) == []


@pytest.mark.parametrize(
    ("due", "flags"),
    [
        ("357.75", []),
        ("357.76", ["warning"]),
        ("358.75", ["warning"]),
        ("356.75", ["warning"]),
        ("358.76", ["fatal"]),
        ("356.74", ["fatal"]),
        (None, []),
    ],
)
def test_a_sum_may_be_off_by_one_and_not_by_a_cent_more(due, flags):
    """The tolerance of EN 16931 is one unit of the currency."""
    found = list(_sums(stated(due=due and D(due))))

    assert [one.flag for one in found] == flags
    if flags:
        assert found[0].text == (
            f"To be paid (BT-115): {due} is stated, but computed from the lines it is 357.75."
        )


def test_sums_that_cannot_be_recomputed_are_not_judged():
    bare = changed(lines=(), groups=(), adjustments=(), stated=UNTOLD)

    assert list(_sums(bare)) == []
    assert list(_sums(dataclasses.replace(bare, stated=READ.stated))) == []


def test_sums_of_a_file_without_lines_follow_from_its_groups():
    """425.42 of lines, 406.47 + 18.95 before tax, 81.29 + 1.04 of tax; 150.00 were paid; 0.05 are
    added by rounding."""
    bare = changed(lines=(), rounding=D("0.05"), stated=dataclasses.replace(UNTOLD, net=D("1")))

    assert bare.recomputed() == FiveTotals(
        lines_net=None, net=D("425.42"), vat=D("82.33"), gross=D("507.75"), due=D("357.80")
    )


def test_sums_without_lines_and_groups_are_those_that_are_stated():
    """100.00 and no tax is 100.00, less 150.00 that were paid."""
    bare = changed(lines=(), groups=(), stated=dataclasses.replace(UNTOLD, net=D("100.00")))

    five = FiveTotals(lines_net=None, net=D("100.00"), vat=None, gross=D("100.00"), due=D("-50.00"))
    assert bare.recomputed() == five


def test_lines_charges_and_allowances_make_the_bases_and_the_sums():
    """20 %: 348.00 + 45.47 + 13.00 − 6.47 = 400.00, tax 80.00; 5.5 %: 18.95, tax 1.04; a line
    without a net counts as nothing."""
    off = ReadAmount(category="S", rate_pct=D(20), amount=D("-6.47"))
    silent = a_line(net=None, category="Z", rate_pct=D(0))
    read = changed(lines=(*READ.lines, silent), adjustments=(off,), rounding=D("-0.04"))

    assert read.bases() == {
        ("S", D(20)): D("400.00"),
        ("S", D("5.5")): D("18.95"),
        ("Z", D(0)): D("0.00"),
    }
    assert read.recomputed() == FiveTotals(
        lines_net=D("425.42"),
        net=D("418.95"),
        vat=D("81.04"),
        gross=D("499.99"),
        due=D("349.95"),
    )


@pytest.mark.parametrize(
    ("off", "flag"), [("0.01", "warning"), ("1.00", "warning"), ("1.01", "fatal")]
)
def test_a_base_that_is_off_names_its_group(off, flag):
    first, second = READ.groups
    wrong = dataclasses.replace(second, amount=second.amount + D(off))

    [found] = _bases(changed(groups=(first, wrong)))
    assert (found.rule, found.flag) == ("OWN-BASE", flag)
    assert found.text.startswith("Tax group S 5.5 %: its base is stated as ")


def test_one_tax_may_be_told_in_several_groups():
    first, second = READ.groups
    parts = [dataclasses.replace(first, amount=D(part)) for part in ("400.00", "6.47")]

    assert list(_bases(changed(groups=(*parts, second)))) == []


def test_a_group_that_has_no_line_is_told_and_a_file_without_lines_is_not_judged():
    strange = dataclasses.replace(READ.groups[0], rate_pct=D(7), amount=D("5.00"))

    [found] = _bases(changed(groups=(*READ.groups, strange)))
    assert found.text.endswith("is stated as 5.00, but its lines, less allowances, come to 0.00.")
    assert list(_bases(changed(groups=(strange,), lines=()))) == []


@pytest.mark.parametrize(
    ("fields", "rules"),
    [
        ({}, []),
        ({"due_on": None}, []),  # the terms say it in words
        ({"payment_terms": ""}, []),
        ({"due_on": None, "payment_terms": ""}, ["OWN-DUE"]),
        ({"due_on": None, "payment_terms": "", "kind": "386"}, ["OWN-DUE"]),
        ({"due_on": None, "payment_terms": "", "kind": "381"}, ["OWN-CREDIT"]),
        ({"kind": "381", "references": (("FA-1", None),)}, []),
        ({"references": (("FA-1", None),)}, []),
    ],
)
def test_what_a_file_ought_to_name(fields, rules):
    assert [one.rule for one in _mentions(changed(**fields))] == rules


@pytest.mark.parametrize(
    ("due", "rules"),
    [("0.01", ["OWN-DUE"]), ("1.00", ["OWN-DUE"]), ("0.00", []), ("-5.00", []), (None, [])],
)
def test_a_day_of_payment_is_missed_where_a_cent_is_due(due, rules):
    read = dataclasses.replace(stated(due=due and D(due)), due_on=None, payment_terms="")

    assert [one.rule for one in _mentions(read)] == rules


def test_the_day_of_payment_of_a_credit_note_stands_elsewhere_in_ubl():
    later = dt.date(2026, 12, 24)
    credit = dataclasses.replace(CREDITED, due_on=later)

    assert read_xml(build_ubl(credit), "x").due_on == later
    assert read_xml(build_ubl(TWO_RATES), "x").due_on == TWO_RATES.due_on
