"""What credit notes leave of an invoice and of its lines, and what deposits may be deducted."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.einvoice.document import Line, TaxGroup
from repairs.invoices.actions import open_credit
from repairs.invoices.codes import Kind
from repairs.invoices.deposits import deposits_of
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.refusals import CreditLineTooLargeError, CreditTooLargeError, DepositUsedError
from repairs.invoices.remaining import (
    LineLeft,
    discount_left,
    gross_left,
    groups_left_of,
    lines_left,
)
from repairs.people.house_models import House
from tests import factories

SEVEN_HOURS = Line(
    number="1",
    description="Work",
    quantity=Decimal("7.25"),
    unit="HUR",
    unit_price=Decimal(48),
    rate_pct=Decimal(20),
    discount=Decimal("48.00"),
)
WHOLE = LineLeft(SEVEN_HOURS, Decimal("7.25"), Decimal("48.00"), Decimal("300.00"))


def took(quantity: str, discount: str = "0", price: str = "48") -> DraftLine:
    """A line of a credit note."""
    return DraftLine(
        quantity=Decimal(quantity), unit_price=Decimal(price), discount=Decimal(discount)
    )


@pytest.mark.parametrize(
    ("row", "quantity", "discount", "net"),
    [
        (took("2.25"), "5.00", "48.00", "192.00"),
        (took("2.25", "18"), "5.00", "30.00", "210.00"),
        (took("2.25", "48"), "5.00", "0.00", "240.00"),
        (took("2.25", "60"), "5.00", "0.00", "252.00"),  # more taken off than there was
        (took("7.25", "48"), "0.00", "0.00", "0.00"),
        (took("1", price="10.005"), "6.25", "48.00", "289.99"),  # 10.005 is rounded up first
    ],
)
def test_a_credit_note_takes_its_quantity_its_discount_and_its_net(row, quantity, discount, net):
    left = WHOLE.less(row)

    said = (left.quantity, left.discount, left.net)
    assert said == (Decimal(quantity), Decimal(discount), Decimal(net))


@pytest.mark.parametrize(
    ("row", "is_whole"),
    [
        (took("2.25", "48"), True),
        (took("2.25", "18"), True),
        (took("6.25", "48"), True),  # one hour
        (took("6.75", "48"), True),  # half an hour
        (took("2.25", price="40"), False),  # a price was taken, and not so many hours
        (took("7.25", "48"), False),  # nothing is left
        (took("8", "48"), False),
    ],
)
def test_what_is_left_is_so_many_hours_or_only_a_sum(row, is_whole):
    assert WHOLE.less(row).is_whole_units is is_whole


def group(base: str, rate_pct: str = "20") -> TaxGroup:
    return TaxGroup(category="S", rate_pct=Decimal(rate_pct), base=Decimal(base), tax=Decimal(0))


@pytest.mark.parametrize(
    ("has", "base", "discount", "taken_off"),
    [
        ("270.00", "300.00", "30.00", "30.00"),  # all of it, as it was discounted
        ("270.01", "300.00", "30.00", "29.99"),  # all of it, to the cent that is left
        ("310.00", "300.00", "30.00", "-10.00"),  # earlier notes took too much off: a charge
        ("270.00", "100.00", "10.00", "10.00"),  # a part, at its own discount
        ("85.00", "100.00", "10.00", "15.00"),  # a part, of which no more is left
        ("90.00", "100.00", "10.00", "10.00"),
    ],
)
def test_the_discount_on_the_whole_is_credited_to_the_cent(has, base, discount, taken_off):
    others = [
        replace(WHOLE, line=replace(SEVEN_HOURS, rate_pct=Decimal("5.5"))),
        replace(WHOLE, line=replace(SEVEN_HOURS, category="E")),
    ]

    said = discount_left([WHOLE, *others], group(has), Decimal(base), Decimal(discount))

    assert said == Decimal(taken_off)


def test_what_is_left_of_a_discounted_line_is_so_many_hours_more_of_it(payer, helene):
    """The discount of the first credit note comes off: 5 hours are left, without any discount."""
    spec = factories.hours(discount=Decimal("48.00"))
    invoice = factories.issued(factories.draft(payer, spec, by=helene), by=helene)
    part = open_credit(invoice, by=helene, at=timezone.now())
    part.lines.update(quantity=Decimal("2.25"))
    factories.issued(part, by=helene)

    row = open_credit(invoice, by=helene, at=timezone.now()).lines.get()

    assert (row.quantity, row.unit, row.unit_price) == (Decimal(5), "HUR", Decimal(48))
    assert row.discount == 0
    assert lines_left(invoice)["line:1"].net == Decimal("240.00")


def test_what_is_left_of_two_invoices_is_told_apart_in_one_query(
    payer, helene, django_assert_num_queries
):
    one = factories.issued(factories.draft(payer, by=helene), by=helene)
    other = factories.issued(factories.draft(payer, factories.hours("1"), by=helene), by=helene)
    part = open_credit(one, by=helene, at=timezone.now())
    part.lines.update(quantity=Decimal("1.25"))
    note = factories.issued(part, by=helene)

    with django_assert_num_queries(1):
        left = groups_left_of([one, other])

    assert [(row.base, row.tax) for row in left[one.pk]] == [(Decimal("288.00"), Decimal("57.60"))]
    assert [(row.base, row.tax) for row in left[other.pk]] == [(Decimal("48.00"), Decimal("9.60"))]
    assert gross_left(one) == Decimal("345.60")
    assert gross_left(note) == Decimal("-72.00")  # of a note itself: what it takes away


def test_what_a_deposit_took_off_is_no_part_of_what_is_left(payer, helene):
    line = factories.sold("Deposit", "100.00", sort="free")
    deposit = factories.issued(
        factories.draft(payer, line, by=helene, kind=Kind.DEPOSIT), by=helene
    )
    final = factories.draft(payer, by=helene)
    final.deposits.add(deposit)

    assert gross_left(factories.issued(final, by=helene)) == Decimal("417.60")


# Deposits ------------------------------------------------------------------------------------


def test_an_invoice_that_is_no_deposit_is_neither_offered_nor_deducted(payer, invoice, helene):
    draft = factories.draft(payer, factories.hours("20"), by=helene)
    draft.deposits.add(invoice)

    assert list(deposits_of(draft)) == []
    with pytest.raises(DepositUsedError, match="cannot be deducted: it is no deposit"):
        factories.issued(draft, by=helene)


# More than is left ---------------------------------------------------------------------------


def test_two_lines_of_a_credit_note_share_one_line_of_the_invoice(invoice, helene):
    """4 and 4 hours of 7.25: each alone would be within it, and both are not."""
    draft = open_credit(invoice, by=helene, at=timezone.now())
    draft.lines.update(quantity=Decimal(4))
    twin = draft.lines.get()
    twin.pk, twin.position = None, 2
    twin.save()

    with pytest.raises(CreditLineTooLargeError, match=r"of which 156\.00.EUR .* back 192\.00.EUR"):
        factories.issued(draft, by=helene)


def test_as_many_hours_as_were_billed_pass_at_a_lower_price_and_no_more(invoice, helene):
    draft = open_credit(invoice, by=helene, at=timezone.now())
    draft.lines.update(quantity=Decimal("7.26"), unit_price=Decimal("1.00"))

    with pytest.raises(CreditLineTooLargeError, match=r"billed 7\.25 hours"):
        factories.issued(draft, by=helene)
    draft.lines.update(quantity=Decimal("7.25"))

    assert factories.issued(draft, by=helene).net == Decimal("7.25")


def test_more_pieces_than_hours_pass_within_the_sum(invoice, helene):
    """Credited by the piece, the hours that were billed are no measure."""
    draft = open_credit(invoice, by=helene, at=timezone.now())
    draft.lines.update(quantity=Decimal(10), unit="C62", unit_price=Decimal("10.00"))

    assert factories.issued(draft, by=helene).net == Decimal("100.00")


def test_a_line_from_nowhere_is_held_against_its_own_tax_alone(payer, helene):
    House.objects.update(vat_regime="small_business")
    line = factories.sold("Strings", "10.00", category="E", rate_pct=Decimal(0))
    invoice = factories.issued(factories.draft(payer, line, by=helene), by=helene)
    draft = open_credit(invoice, by=helene, at=timezone.now())
    draft.lines.update(source="", category="S", rate_pct=Decimal(20))

    with pytest.raises(CreditTooLargeError, match=r"has 0\.00.EUR left to credit at 20"):
        factories.issued(draft, by=helene)
