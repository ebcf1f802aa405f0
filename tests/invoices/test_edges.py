"""The edges of what a draft is held against, on facts made by hand: no table is asked."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from repairs.invoices.case_checks import above_agreed, case_problems, case_remarks
from repairs.invoices.codes import Kind
from repairs.invoices.doubts import draft_doubts
from repairs.invoices.drafting import document_of
from repairs.invoices.facts import Facts
from repairs.invoices.lacks import problems_of, require_issuable
from repairs.invoices.refusals import (
    DraftIncompleteError,
)
from tests.invoices.plain import FIRM, TODAY, billed, facts, group, of_case, row

A_CENT = (group("0.01", "0"),)
DAY = dt.timedelta(days=1)


def problems(said: Facts) -> str:
    return " ".join(problems_of(said, document_of(said, number="")))


def of_the_case(said: Facts) -> str:
    return " ".join(case_problems(said, document_of(said, number=""), Decimal("120")))


def doubts(said: Facts) -> str:
    return " ".join(draft_doubts(said, document_of(said, number="")))


# The case ------------------------------------------------------------------------------------


DEPOSIT = billed("FD-1", Kind.DEPOSIT)


@pytest.mark.parametrize(
    ("case", "kind", "above"),
    [
        (None, Kind.INVOICE, "0"),
        (of_case(), Kind.INVOICE, "0"),  # no ceiling was agreed
        (of_case(ceiling="120"), Kind.INVOICE, "0"),
        (of_case(ceiling="119.99"), Kind.INVOICE, "0.01"),
        (of_case(ceiling="0"), Kind.INVOICE, "120"),
        (of_case(billed(), ceiling="200"), Kind.INVOICE, "40"),
        (of_case(billed(groups=()), ceiling="120"), Kind.INVOICE, "0"),
        (of_case(DEPOSIT, ceiling="120"), Kind.INVOICE, "0"),  # it will be deducted
        (of_case(DEPOSIT, ceiling="200"), Kind.DEPOSIT, "40"),
        (of_case(replace(DEPOSIT, is_deducted=True), ceiling="120"), Kind.DEPOSIT, "0"),
        (of_case(billed(is_deducted=True), ceiling="200"), Kind.DEPOSIT, "40"),
    ],
)
def test_what_is_above_the_ceiling_to_the_cent(case, kind, above):
    assert above_agreed(facts(kind=kind, case=case), Decimal("120")) == Decimal(above)


@pytest.mark.parametrize(
    ("case", "said", "says"),
    [
        (None, {}, ""),
        (of_case(ceiling="100"), {}, "With it 20.00\u00a0EUR more is billed"),
        (of_case(ceiling="100"), {"above_because": "Mrs Ollivant, 3 June"}, ""),
        (of_case(ceiling="120"), {}, ""),
        (
            of_case(DEPOSIT),
            {},
            "Deposit invoice FD-1 of this case, 120.00\u00a0EUR, is not deducted",
        ),
        (of_case(replace(DEPOSIT, is_ticked=True)), {}, ""),
        (of_case(replace(DEPOSIT, is_deducted=True)), {}, ""),
        (of_case(replace(DEPOSIT, groups=())), {}, ""),
        (of_case(billed()), {}, ""),
        (of_case(billed()), {"kind": Kind.DEPOSIT}, "The case was invoiced by FA-1"),
        (of_case(billed(groups=())), {"kind": Kind.DEPOSIT}, ""),
        (of_case(billed(groups=A_CENT)), {"kind": Kind.DEPOSIT}, "The case was invoiced by FA-1"),
        (of_case(replace(DEPOSIT, groups=A_CENT)), {}, "Deposit invoice FD-1 of this case, 0.01"),
        (of_case(DEPOSIT), {"kind": Kind.DEPOSIT}, ""),
    ],
)
def test_what_the_case_holds_against_a_draft(case, said, says):
    found = of_the_case(facts(case=case, **said))

    assert found.startswith(says) if says else found == ""


@pytest.mark.parametrize(
    ("case", "kind", "says"),
    [
        (None, Kind.INVOICE, []),
        (of_case(is_unfinished=True), Kind.INVOICE, ["Work of this case is not signed off"]),
        (of_case(is_unfinished=True), Kind.DEPOSIT, []),
        (of_case(billed(bills_same=True)), Kind.INVOICE, ["Invoice FA-1 bills some"]),
        (of_case(billed(bills_same=True, groups=())), Kind.INVOICE, []),
        (of_case(billed()), Kind.INVOICE, []),
        (of_case(billed(bills_same=True, groups=A_CENT)), Kind.INVOICE, ["Invoice FA-1 bills"]),
        (of_case(billed("FD-1", Kind.DEPOSIT, bills_same=True)), Kind.INVOICE, []),
        (of_case(prices=("9.99",)), Kind.INVOICE, ["9.99\u00a0EUR was agreed, tax included"]),
        (of_case(prices=("10.00",)), Kind.INVOICE, []),
        (of_case(prices=("0",)), Kind.INVOICE, []),
    ],
)
def test_what_the_case_asks_to_look_at(case, kind, says):
    found = case_remarks(facts(case=case, kind=kind))

    assert len(found) == len(says)
    assert all(one.startswith(start) for one, start in zip(found, says, strict=True))


# Days and sums -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ({}, ""),
        ({"supplied_on": TODAY + 31 * DAY}, ""),
        ({"supplied_on": TODAY + 32 * DAY}, "“Done or delivered on” is"),
        ({"client": FIRM, "payment_days": 60}, ""),
        ({"client": FIRM, "payment_days": 61}, "It gives 61 days to pay, but the law allows"),
        ({"payment_days": 61}, ""),  # a private person may be given more
        ({"is_closed": True}, "The year 2026 is closed"),
        ({"deposits": (billed("FD-1", Kind.DEPOSIT),)}, ""),
        (
            {"deposits": (billed("FD-1", Kind.DEPOSIT, groups=(group("100", "20.01"),)),)},
            "The deposits are more than the invoice",
        ),
        ({"house": {"iban": ""}}, "It is to be paid by transfer, but the workshop’s IBAN"),
        ({"house": {"iban": ""}, "means": "10"}, ""),
        ({"house": {"city": ""}}, "The workshop’s address, postcode or town is missing"),
        ({"house": {"postcode": ""}}, "The workshop’s address, postcode or town is missing"),
        ({"house": {"company_number": ""}}, "The workshop’s company number is missing"),
        ({"client": {"country": "FR", "city": "Valbrune"}}, ""),
        ({"client": {"country": "FR", "address": "3, rue des Tanneurs"}}, ""),
        ({"client": {"country": "FR"}}, "The client’s address is missing"),
        ({"client": {"country": ""}}, "The client’s country is missing"),
    ],
)
def test_what_stands_in_the_way_to_the_day_and_the_cent(said, says):
    found = problems(facts(**said))

    assert found.startswith(says) if says else found == ""


def test_nothing_to_bill_is_told_by_itself():
    said = replace(facts(), rows=())
    doc = document_of(said, number="")

    assert problems_of(said, doc) == ["It has no line yet. Add at least one."]
    with pytest.raises(DraftIncompleteError, match="has no line yet"):
        require_issuable(said, doc)


@pytest.mark.parametrize(
    ("rows", "said", "says"),
    [
        ((), {}, ""),
        ((row(price="833.33"),), {"means": "10"}, ""),  # 1,000.00 with tax
        ((row(price="833.34"),), {"means": "10"}, "1,000.01\u00a0EUR in cash is above"),
        ((row(price="833.34"),), {}, ""),  # by transfer
        ((row(rate_pct=Decimal(10)),), {}, "Line 1 bears 10 %, and not the usual 20 %"),
        ((row(category="AE", rate_pct=Decimal(0)),), {}, ""),  # no rate is no odd rate
        ((row(price="0"),), {}, "Nothing is to be paid"),
        ((), {"supplied_on": TODAY - 365 * DAY}, ""),
        ((), {"supplied_on": TODAY - 366 * DAY}, "It was done on"),
        ((), {"supplied_on": None}, ""),
        ((), {"payment_days": 60}, ""),
        ((), {"payment_days": 61}, "It gives 61 days to pay. Is that meant?"),
        ((), {"payment_days": 61, "client": FIRM}, ""),  # refused, and not only asked
        ((row(price="0"),), {"kind": Kind.CREDIT}, ""),
    ],
)
def test_what_is_seldom_right_is_asked(rows, said, says):
    found = doubts(facts(*rows, **said))

    assert found.startswith(says) if says else found == ""
