"""The very cent and the very day at which the books say something else, and the one beside it."""

from __future__ import annotations

import dataclasses
import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.books import books as books_module
from repairs.books.books import books, faults, received_lines, vat_lines
from repairs.books.closing import close_year, still_open
from repairs.books.exports import vat_csv
from repairs.books.ledger import entries
from repairs.books.lettering import letters
from repairs.books.receipts import Share, received_until
from repairs.books.refusals import YearNotOverError
from repairs.invoices.actions import open_credit
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import Invoice, Payment, TaxRow
from repairs.money import total
from repairs.payments.actions import reverse_payment
from tests import factories
from tests.books.days import APRIL, AT, MARCH, YEAR

D = Decimal


@pytest.fixture
def goods(payer, helene) -> Invoice:
    """60.00 for strings, on 10 March."""
    row = factories.draft(payer, factories.sold("Strings", "50.00"), by=helene)
    return factories.issued(row, by=helene, at=AT)


def credited(invoice: Invoice, helene, *, at: dt.datetime = AT, **changed: object) -> Invoice:
    note = open_credit(invoice, by=helene, at=at)
    note.lines.update(**changed)
    return factories.issued(note, by=helene, at=at)


def test_a_period_takes_its_first_and_its_last_day(billed):
    day = dt.timedelta(days=1)

    assert [len(books(*days).sales) for days in ((MARCH, MARCH), (MARCH + day, APRIL))] == [1, 0]
    assert books(MARCH - 9 * day, MARCH - day).sales == []
    assert vat_lines(MARCH, MARCH) and not vat_lines(MARCH + day, APRIL)


def test_what_was_received_counts_on_its_own_day_only(billed, helene):
    factories.payment(billed, "417.60", by=helene, on=APRIL)
    day = dt.timedelta(days=1)

    assert set(received_until(billed, APRIL - day).values()) == {Share()}
    assert received_until(billed, APRIL) == {("S", D("20.00")): Share(D("348.00"), D("69.60"))}
    assert received_lines(MARCH, APRIL - day) == received_lines(APRIL + day, APRIL + day) == []
    [line] = received_lines(APRIL, APRIL)
    assert (line.operation, line.category, line.base, line.tax) == (
        "S",
        "S",
        D("348.00"),
        D("69.6"),
    )


def test_late_charges_and_their_reversal_are_no_receipts(firm, helene, billed):
    row = Payment(invoice=billed, sort="charges", amount=D("5.49"), means="30", paid_on=APRIL)
    row.noted_at, row.noted_by = timezone.now(), helene
    row.save()
    reverse_payment(row, APRIL, by=helene, at=timezone.now())

    assert received_lines(APRIL, APRIL) == []
    Payment.objects.filter(sort="reversal").delete()
    found = received_until(Invoice.objects.get(pk=billed.pk), APRIL)
    assert set(found.values()) == {Share()}


def test_a_credit_note_of_the_day_lowers_what_was_received_of_that_day(billed, helene):
    """60.00 of 417.60 credited: 357.60 may be received; the rest is kept for what was credited."""
    credited(billed, helene, quantity=D("1.0417"))  # 50.00 and 10.00
    factories.payment(billed, "417.60", by=helene, on=MARCH)

    before = MARCH - dt.timedelta(days=1)
    assert received_until(billed, before) == {}
    found = received_until(Invoice.objects.get(pk=billed.pk), MARCH)
    assert total(one.gross for one in found.values()) == D("417.60")
    factories.payment(billed, "-60.00", by=helene, on=APRIL)
    after = received_until(Invoice.objects.get(pk=billed.pk), APRIL)
    assert after == {("S", D("20.00")): Share(D("298.00"), D("59.60"))}


def test_an_invoice_that_deposits_paid_whole_counts_from_its_own_day(payer, helene):
    line = factories.sold("Deposit", "348.00", sort="free")
    asked = factories.draft(payer, line, by=helene, kind="386")
    deposit = factories.issued(asked, by=helene, at=AT)
    factories.payment(deposit, "417.60", by=helene, on=MARCH)
    rest = factories.draft(payer, by=helene)
    rest.deposits.add(deposit)
    at = dt.datetime(YEAR, 4, 10, 9, 0, tzinfo=dt.UTC)
    final = factories.issued(rest, by=helene, at=at)

    assert final.due == 0
    assert received_until(final, APRIL - dt.timedelta(days=1)) == {}
    assert total(line.tax for line in received_lines(MARCH, APRIL)) == D("69.60")


def test_credited_goods_are_goods(goods, helene):
    credited(goods, helene, unit_price=D("20.00"))

    [line] = vat_lines(MARCH, MARCH)
    assert (line.operation, line.base, line.tax) == ("B", D("30.00"), D("6.00"))


def test_the_highest_rate_stands_first(payer, helene):
    lines = (
        factories.sold("Method", "10.00", category="S", rate_pct=D("5.5")),
        factories.hours("1", "48.00", category="S", rate_pct=D("20")),
    )
    factories.issued(factories.draft(payer, *lines, by=helene), by=helene, at=AT)

    assert [line.rate_pct for line in vat_lines(MARCH, MARCH)] == [D("20.00"), D("5.50")]
    assert vat_csv(books(MARCH, MARCH)).decode("utf-8-sig").splitlines()[1:] == [
        'by day of issue;S;"Services, taxed";20,00;48,00;9,60'.replace('"', ""),
        'by day of issue;S;"Services, taxed";5,50;10,00;0,55'.replace('"', ""),
    ]


def test_a_letter_bears_the_day_of_the_last_credit_note_or_payment(billed, goods, helene):
    later = dt.datetime(YEAR, 4, 10, 9, 0, tzinfo=dt.UTC)
    factories.payment(goods, "60.00", by=helene, on=MARCH)
    note = credited(billed, helene, at=later)

    found = letters()
    assert {key: letter.day for key, letter in found.items()} == {goods.pk: MARCH, billed.pk: APRIL}
    assert note.pk not in found
    codes = {line.letter.code for entry in entries(YEAR) for line in entry.lines if line.letter}
    assert codes == {letter.code for letter in found.values()}


def test_an_entry_that_does_not_balance_is_found_out(billed, monkeypatch):
    def askew(year: int):
        [entry] = entries(year)
        first = dataclasses.replace(entry.lines[0], debit=entry.lines[0].debit + D("0.01"))
        return [dataclasses.replace(entry, lines=(first, *entry.lines[1:]))]

    monkeypatch.setattr(books_module, "entries", askew)

    found = faults(YEAR)
    assert "Entry 1 does not balance." in found
    assert "The accounts of clients says 417.61, but the invoices say 417.60." in found


def test_a_discount_on_work_and_goods_sold_together_falls_on_each_in_proportion(payer, helene):
    """By hand: 150.00 less 3.33 % is 145.00; 145 × 100 ÷ 150 = 96.67 of work, 48.33 of goods."""
    lines = (
        factories.hours("1", "100.00", category="S", rate_pct=D(20)),
        factories.sold("Bow", "50.00", category="S", rate_pct=D(20)),
    )
    row = factories.draft(payer, *lines, by=helene, discount_pct=D("3.33"))
    sold = factories.issued(row, by=helene, at=AT)
    Invoice.objects.filter(pk=sold.pk).update(content={**sold.content, "operation": "M"})

    [entry] = entries(YEAR)
    assert [(one.account, one.credit) for one in entry.lines[1:]] == [
        ("706000", D("96.67")),
        ("707000", D("48.33")),
        ("445710", D("29.00")),
    ]


def test_books_that_differ_are_not_closed_and_one_is_told_what_to_do(billed, helene):
    TaxRow.objects.filter(invoice=billed).update(tax=D("69.61"))

    with pytest.raises(YearNotOverError) as refusal:
        close_year(YEAR, by=helene, at=timezone.now())
    said = "417.60. Have whoever looks after the program find out why, before anything is closed."
    assert str(refusal.value).endswith(said)


def test_books_of_a_year_look_at_that_year_from_new_year_to_its_last_day(payer, helene):
    for month, day in ((1, 1), (12, 31)):
        at = dt.datetime(YEAR, month, day, 9, 0, tzinfo=dt.UTC)
        factories.issued(factories.draft(payer, by=helene), by=helene, at=at)

    assert faults(YEAR) == []
    TaxRow.objects.filter(invoice__issued_on__month=12).update(tax=D("1.00"))
    assert len(faults(YEAR)) == 3


def test_only_what_is_open_of_the_year_and_before_is_listed(payer, billed, helene):
    line = factories.sold("Deposit", "83.33", sort="free")

    def deposit(at: dt.datetime) -> Invoice:
        return factories.issued(
            factories.draft(payer, line, by=helene, kind="386"), by=helene, at=at
        )

    open_one, deducted, taken_back = deposit(AT), deposit(AT), deposit(AT)
    next_year = deposit(dt.datetime(YEAR + 1, 1, 1, 9, 0, tzinfo=dt.UTC))
    rest = factories.draft(payer, by=helene)
    rest.deposits.add(deducted)
    factories.issued(rest, by=helene)
    credited(taken_back, helene, at=timezone.now())
    thrown = factories.draft(payer, by=helene)
    InvoiceDraft.objects.filter(pk=thrown.pk).update(discarded_at=timezone.now())

    found = still_open(YEAR, timezone.localdate())
    assert found.deposits == [open_one]
    assert found.drafts == found.credits == []
    assert {one.invoice for one in found.unpaid} == {billed, open_one, deducted}
    assert next_year in still_open(YEAR + 1, timezone.localdate()).deposits
    assert bool(found)
    assert not still_open(YEAR - 1, timezone.localdate())
