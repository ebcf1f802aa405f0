"""The edges of what a draft is held against, on facts made by hand: no table is asked."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from repairs.einvoice.document import TaxGroup
from repairs.einvoice.totals import totals_of
from repairs.invoices.case_checks import above_agreed, case_problems, case_remarks
from repairs.invoices.codes import Kind
from repairs.invoices.crediting import require_not_more_than_invoiced
from repairs.invoices.doubts import draft_doubts
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.drafting import document_of
from repairs.invoices.facts import Facts
from repairs.invoices.lacks import problems_of, require_issuable
from repairs.invoices.refusals import (
    CreditLineTooLargeError,
    CreditTooLargeError,
    DraftIncompleteError,
)
from tests.invoices.plain import FIRM, TODAY, billed, credited, facts, group, of_case, row

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


# The invoice ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("days", "due_on", "terms"),
    [
        (0, TODAY, "On receipt"),
        (1, TODAY + DAY, "1 day from the date of the invoice"),
        (30, TODAY + 30 * DAY, "30 days from the date of the invoice"),
    ],
)
def test_when_it_is_due(days, due_on, terms):
    doc = document_of(facts(payment_days=days), number="FA-9")

    assert (doc.due_on, doc.payment_terms) == (due_on, terms)


def test_a_credit_note_is_due_on_no_day_and_names_its_invoice():
    left = credited(("2", "100"), left=(group("200", "40"),), operation="M", supplied_on=TODAY)
    said = facts(row(source="line:1"), kind=Kind.CREDIT, credited=left, supplied_on=TODAY)

    doc = document_of(said, number="AV-1")

    assert (doc.due_on, doc.payment_terms, doc.operation) == (None, "", "M")
    assert [one.number for one in doc.preceding] == ["FA-7"]
    assert doc.tax_left == left.groups


@pytest.mark.parametrize(
    ("sorts", "operation"),
    [(["material", "material"], "B"), (["material", "hours"], "S"), (["hours"], "S")],
)
def test_material_alone_is_a_sale_of_goods(sorts, operation):
    rows = [row(sort=sort, position=place) for place, sort in enumerate(sorts, start=1)]

    assert document_of(facts(*rows), number="").operation == operation


def test_the_discount_on_the_whole_stands_under_each_tax_apart():
    rows = [row(), row(price="50", position=2), row(rate_pct=Decimal(10), position=3)]

    doc = document_of(facts(*rows, discount_pct=Decimal(10)), number="")

    taken = [(one.rate_pct, one.amount, one.is_charge, one.reason) for one in doc.allowances]
    assert taken == [
        (Decimal(20), Decimal("15.00"), False, "Discount 10 %"),
        (Decimal(10), Decimal("10.00"), False, "Discount 10 %"),
    ]
    assert document_of(facts(*rows), number="").allowances == ()


def test_a_discount_that_was_credited_too_high_is_a_charge_on_the_last_credit_note():
    left = credited(("1", "100"), left=(group("110", "22"),))
    said = facts(row(source="line:1"), kind=Kind.CREDIT, credited=left, discount_pct=Decimal(10))

    (charge,) = document_of(said, number="").allowances

    assert (charge.amount, charge.is_charge) == (Decimal("10"), True)


# Credit notes --------------------------------------------------------------------------------


WHOLE = (group("200", "40"),)


def required(*rows: DraftLine, left: tuple[TaxGroup, ...] = WHOLE) -> None:
    """The credit note of these lines on an invoice of 2 hours at 100.00."""
    said = facts(*rows, kind=Kind.CREDIT, credited=credited(("2", "100"), left=left))
    require_not_more_than_invoiced(said, totals_of(document_of(said, number="")))


def test_a_credit_note_takes_all_that_is_left_and_no_cent_more():
    required(row("2", source="line:1"))
    required(row("1", source="line:1"), row("1", source="line:1", position=2))
    with pytest.raises(CreditLineTooLargeError, match=r"200\.00.EUR before tax .* 200\.01.EUR"):
        required(row("1", "200.01", source="line:1"))
    with pytest.raises(CreditLineTooLargeError, match=r"of which 80\.00.EUR"):
        required(row("1.2", source="line:1"), row("1", source="line:1", position=2))


def test_no_more_hours_are_credited_than_were_billed_at_whatever_price():
    required(row("2", "10", source="line:1"))
    with pytest.raises(CreditLineTooLargeError, match="billed 2 hours"):
        required(row("2.01", "10", source="line:1"))
    required(row("3", "10", unit="C62", source="line:1"))  # pieces are no hours


def test_each_tax_is_held_by_itself():
    required(row("2", source=""))
    for left in ((group("199.99", "40"),), (group("200", "40", "10"),)):
        with pytest.raises(CreditTooLargeError):
            required(row("2", source=""), left=left)
    with pytest.raises(CreditTooLargeError, match=r"has 240\.00.EUR left .* takes back 240\.01"):
        required(row("1", "200.01", source=""))


def test_what_is_no_credit_note_takes_nothing_back():
    said = facts(row("100"))

    require_not_more_than_invoiced(said, totals_of(document_of(said, number="")))
