"""The edges of what stands on an invoice and a credit note, on facts made by hand."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from repairs.einvoice.document import TaxGroup
from repairs.einvoice.totals import totals_of
from repairs.invoices.codes import Kind
from repairs.invoices.crediting import require_not_more_than_invoiced
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.drafting import document_of
from repairs.invoices.refusals import (
    CreditLineTooLargeError,
    CreditTooLargeError,
)
from tests.invoices.plain import TODAY, credited, facts, group, row

DAY = dt.timedelta(days=1)


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
    left = credited(("2", "100"), left=(group("200", "40"),), operation="M")
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
