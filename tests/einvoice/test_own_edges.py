"""Our own checks to the cent: tax that is off, what is due too early, differences in words."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest

from repairs.einvoice.check.own import _as_read, _is_off, _said, check_document, check_written
from repairs.einvoice.document import CREDIT, OUTSIDE, Deposit, Exemption
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.read.received import ReadAmount
from repairs.einvoice.totals import totals_of
from repairs.einvoice.write.cii import build_cii
from tests.einvoice.samples import CREDITED, EXEMPTED, TWO_RATES

D = Decimal
READ = read_xml(build_cii(TWO_RATES), "x")


@pytest.mark.parametrize("due", ["507.74", "507.25", "507.00", "506.00"])
def test_a_part_of_a_euro_that_is_due_is_not_due_before_the_day_of_issue(due):
    before = TWO_RATES.issued_on.replace(day=1)
    doc = dataclasses.replace(TWO_RATES, due_on=before, deposits=(Deposit(amount=D(due)),))

    assert [one.text for one in check_document(doc)] == [
        "The invoice is due before the day on which it is issued."
    ]


@pytest.mark.parametrize(
    ("fields", "doc", "off"),
    [
        ({"tax": D("20.00")}, TWO_RATES, False),
        ({"tax": D("20.01")}, TWO_RATES, True),
        ({"tax": None}, TWO_RATES, True),
        ({"tax": D("21.00")}, CREDITED, False),
        ({"tax": D("21.01")}, CREDITED, True),
        ({"tax": D("18.99")}, CREDITED, True),
        ({"tax": None}, CREDITED, True),
        ({"tax": D("99.00"), "category": OUTSIDE}, TWO_RATES, False),
    ],
)
def test_the_tax_of_a_group_is_exact_and_of_a_credit_note_within_one(fields, doc, off):
    group = ReadAmount(**{"category": "S", "rate_pct": D(20), "amount": D("100.00"), **fields})

    assert _is_off(group, doc) is off


def test_the_words_of_an_exemption_are_held_against_those_of_the_file():
    [group] = totals_of(EXEMPTED).groups
    told = dataclasses.replace(
        EXEMPTED, exemptions=(Exemption(category="E", text=" art.\n 293\x00 B ", code="V"),)
    )

    assert (_as_read(group, told).reason, _as_read(group, told).reason_code) == ("art. 293 B", "V")
    bare = dataclasses.replace(EXEMPTED, exemptions=())
    assert (_as_read(group, bare).reason, _as_read(group, bare).reason_code) == ("", "")


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ((), "—"),
        (("FA-1", None), "FA-1; —"),
        ("", "—"),
        (None, "—"),
        (0, "0"),
        (D("20.00"), "20"),
        (TWO_RATES.issued_on, "20 November 2026"),
        (Deposit(amount=D("5.50")), "5.5; —; —"),
    ],
)
def test_what_differs_is_said_as_a_reader_writes_it(value, words):
    assert _said(value).replace("\u00a0", " ") == words


def test_a_missing_line_and_a_missing_tax_are_told_not_stumbled_over():
    short = dataclasses.replace(READ, lines=READ.lines[:-1])
    assert any("number of lines" in one.text for one in check_written(TWO_RATES, short))

    untaxed = dataclasses.replace(CREDITED, kind=CREDIT)
    read = read_xml(build_cii(untaxed), "x")
    groups = tuple(dataclasses.replace(one, tax=None) for one in read.groups)
    rules = [one.rule for one in check_written(untaxed, dataclasses.replace(read, groups=groups))]
    assert rules == ["OWN-READ-BACK", "OWN-TAX", "OWN-TAX"]
