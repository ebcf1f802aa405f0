"""VAT on what was received: each payment takes its part, and all of them are the invoice's VAT."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.books.books import books, which_table
from repairs.books.receipts import Share, received_until
from repairs.invoices.actions import open_credit
from repairs.invoices.models import Invoice, Payment, TaxRow
from repairs.payments.actions import reverse_payment
from repairs.people.house_models import House
from tests import factories

AT = dt.datetime(2025, 3, 10, 9, 0, tzinfo=dt.UTC)
MARCH, APRIL, MAY, JUNE = (dt.date(2025, month, 10) for month in (3, 4, 5, 6))
TWENTY, BOOKS = Decimal("20.00"), Decimal("5.50")


def received(day: dt.date) -> dict[Decimal, tuple[str, str]]:
    """Base and tax of that month by rate."""
    first = day.replace(day=1)
    last = (first + dt.timedelta(days=31)).replace(day=1) - dt.timedelta(days=1)
    lines = books(first, last).received
    return {line.rate_pct: (str(line.base), str(line.tax)) for line in lines}


@pytest.fixture
def two_rates(payer, helene) -> Invoice:
    """100.00 at 20 % and 100.00 at 5.5 %: 120.00 and 105.50, 225.50 in all."""
    lines = (
        factories.hours("1", "100.00", category="S", rate_pct=TWENTY),
        factories.sold("Method", "100.00", category="S", rate_pct=BOOKS),
    )
    return factories.issued(factories.draft(payer, *lines, by=helene), by=helene, at=AT)


def test_nothing_is_received_with_the_issue(two_rates):
    assert received(MARCH) == {}


def test_each_payment_takes_its_part_of_every_rate(two_rates, helene):
    """100.00 of 225.50: 120 × 100 ÷ 225.5 = 53.22 with 20 × 100 ÷ 225.5 = 8.87 of tax; the other
    rate has what is left, 46.78, with 5.5 × 100 ÷ 225.5 = 2.44. April has the rest (by hand)."""
    factories.payment(two_rates, "100.00", by=helene, on=MARCH)
    factories.payment(two_rates, "125.50", by=helene, on=APRIL)

    assert received(MARCH) == {TWENTY: ("44.35", "8.87"), BOOKS: ("44.34", "2.44")}
    assert received(APRIL) == {TWENTY: ("55.65", "11.13"), BOOKS: ("55.66", "3.06")}


def test_a_reversal_and_a_refund_take_back(two_rates, helene):
    wrong = factories.payment(two_rates, "225.50", by=helene, on=MARCH)
    reverse_payment(wrong, APRIL, by=helene, at=timezone.now())
    factories.payment(two_rates, "225.50", by=helene, on=MAY)
    factories.payment(two_rates, "-225.50", by=helene, on=JUNE)

    whole = {TWENTY: ("100.00", "20.00"), BOOKS: ("100.00", "5.50")}
    back = {TWENTY: ("-100.00", "-20.00"), BOOKS: ("-100.00", "-5.50")}
    assert [received(day) for day in (MARCH, APRIL, MAY, JUNE)] == [whole, back, whole, back]


def test_what_came_in_error_bears_no_vat(two_rates, helene):
    factories.payment(two_rates, "300.00", by=helene, on=MARCH)
    factories.payment(two_rates, "-74.50", by=helene, on=APRIL)

    assert received(MARCH) == {TWENTY: ("100.00", "20.00"), BOOKS: ("100.00", "5.50")}
    assert received(APRIL) == {}


def test_a_credit_note_before_payment_lowers_what_is_received(two_rates, helene):
    """The line at 5.5 % is credited: 120.00 are left, and come."""
    part = open_credit(two_rates, by=helene, at=AT)
    part.lines.filter(rate_pct=20).delete()
    factories.issued(part, by=helene, at=AT)
    factories.payment(two_rates, "120.00", by=helene, on=APRIL)

    assert received(MARCH) == {}
    assert received(APRIL) == {TWENTY: ("100.00", "20.00")}


def test_a_credit_note_after_payment_counts_once_it_is_paid_back(two_rates, helene):
    factories.payment(two_rates, "225.50", by=helene, on=MARCH)
    part = open_credit(two_rates, by=helene, at=AT)
    part.lines.filter(rate_pct=20).delete()
    factories.issued(part, by=helene, at=AT + dt.timedelta(days=31))
    factories.payment(two_rates, "-105.50", by=helene, on=MAY)

    assert received(APRIL) == {}
    assert received(MAY) == {BOOKS: ("-100.00", "-5.50")}


def test_a_paid_invoice_that_is_credited_as_a_whole_is_nothing_when_paid_back(two_rates, helene):
    factories.payment(two_rates, "225.50", by=helene, on=MARCH)
    factories.issued(open_credit(two_rates, by=helene, at=AT), by=helene, at=AT)
    factories.payment(two_rates, "-225.50", by=helene, on=MAY)

    assert received(MARCH)[TWENTY] == ("100.00", "20.00")
    assert received(MAY)[TWENTY] == ("-100.00", "-20.00")


def test_a_deposit_counts_with_its_own_payment(payer, helene):
    """100.00 of deposit come in March, the other 317.60 of 417.60 in May: 83.33 + 264.67 = 348.00
    and 16.67 + 52.93 = 69.60 (worked by hand)."""
    line = factories.sold("Deposit", "83.33", sort="free")
    asked = factories.draft(payer, line, by=helene, kind="386")
    deposit = factories.issued(asked, by=helene, at=AT)
    factories.payment(deposit, "100.00", by=helene, on=MARCH)
    rest = factories.draft(payer, by=helene)
    rest.deposits.add(deposit)
    final = factories.issued(rest, by=helene, at=AT + dt.timedelta(days=31))
    factories.payment(final, "317.60", by=helene, on=MAY)

    assert received(MARCH) == {TWENTY: ("83.33", "16.67")}
    assert received(APRIL) == {}
    assert received(MAY) == {TWENTY: ("264.67", "52.93")}


def test_goods_stay_by_the_day_of_issue(payer, helene):
    draft = factories.draft(payer, factories.sold("Strings", "50.00"), by=helene)
    invoice = factories.issued(draft, by=helene, at=AT)
    factories.payment(invoice, "60.00", by=helene, on=APRIL)

    assert received(APRIL) == {}
    [line] = books(MARCH, MARCH).vat
    assert (line.operation, line.label, str(line.tax)) == ("B", "Goods, taxed", "10.00")


@settings(max_examples=60, deadline=None)
@given(
    rows=st.lists(
        st.tuples(st.integers(1, 999999), st.sampled_from(["0", "5.5", "10", "20"])),
        min_size=1,
        max_size=4,
        unique_by=lambda row: row[1],
    ),
    cuts=st.lists(st.integers(1, 2_000_000), max_size=6),
)
def test_the_sums_of_all_days_are_the_vat_of_the_invoice(rows, cuts):
    """However it is paid in parts, each day adds up to its payments, and all to the invoice."""
    invoice = _invoice(rows)
    due = sum((row.base + row.tax for row in invoice.tax_rows.all()), Decimal(0))
    days = _paid_in_parts(invoice, due, cuts)

    so_far = Decimal(0)
    for day, payment in zip(days, invoice.payments.all(), strict=True):
        so_far += payment.amount
        assert sum(one.gross for one in received_until(invoice, day).values()) == so_far
    ought = {
        (row.category, row.rate_pct): Share(row.base, row.tax) for row in invoice.tax_rows.all()
    }
    assert received_until(invoice, days[-1]) == ought


def _invoice(rows: list[tuple[int, str]]) -> Invoice:
    """In memory alone: no row of it is kept."""
    invoice = Invoice(pk=1, issued_on=MARCH, content={})
    taxes = []
    for cents, rate in rows:
        base = Decimal(cents) / 100
        tax = (base * Decimal(rate) / 100).quantize(Decimal("0.01"))
        taxes.append(TaxRow(category="S", rate_pct=Decimal(rate), base=base, tax=tax))
    _hold(invoice, tax_rows=taxes, credit_notes=[])
    return invoice


def _paid_in_parts(invoice: Invoice, due: Decimal, cuts: list[int]) -> list[dt.date]:
    points = sorted({Decimal(cut) / 100 for cut in cuts if Decimal(cut) / 100 < due} | {due})
    days = [MARCH + dt.timedelta(days=place) for place in range(len(points))]
    payments = [
        Payment(sort="received", amount=point - before, paid_on=day)
        for point, before, day in zip(points, [Decimal(0), *points], days, strict=False)
    ]
    _hold(invoice, payments=payments)
    return days


def _hold(invoice: Invoice, **rows: list[Any]) -> None:
    """As if the rows had been read from the database."""
    vars(invoice).setdefault("_prefetched_objects_cache", {}).update(rows)


@pytest.mark.parametrize(
    ("house", "words"),
    [
        ({}, "take services from the second table"),
        ({"vat_on_debits": True}, "You opted to pay VAT on debits: the first table"),
        ({"vat_on_debits": True, "country": "DE"}, "your country’s law says"),
    ],
)
def test_a_sentence_says_which_table_fills_the_return(house, words):
    said = which_table(House(name="Atelier", **house))

    assert words in " ".join(said.split())
    assert "onfirm with your accountant" in said


def test_the_page_shows_both_tables(client, two_rates, helene):
    factories.payment(two_rates, "100.00", by=helene, on=APRIL)
    client.force_login(helene)

    page = client.get(reverse("invoices:books"), {"period": "2025-04"}).text

    assert "Nothing was invoiced in this period." in page
    assert "VAT on what was received for services" in page
    assert "take services from the second table" in page
    assert "88.69" in page  # 44.35 + 44.34 before tax
