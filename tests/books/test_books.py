"""The books agree with the invoices to the cent; a closed year takes nothing more."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from repairs.books.books import books, faults
from repairs.books.closing import close_year
from repairs.books.exports import FEC_COLUMNS, fec, sales_csv, vat_csv
from repairs.books.ledger import entries
from repairs.books.periods import periods_of
from repairs.books.refusals import YearNotOverError
from repairs.invoices.actions import open_credit
from repairs.invoices.models import ClosedYear, Invoice, Payment, TaxRow
from repairs.invoices.refusals import DraftIncompleteError, YearClosedError
from repairs.invoices.years import require_open
from repairs.money import total
from repairs.payments.actions import reverse_payment
from repairs.people.models import Client, House, User
from tests import factories

YEAR = 2025
AT = dt.datetime(YEAR, 3, 10, 9, 0, tzinfo=dt.UTC)


def on(days: int) -> dt.datetime:
    return AT + dt.timedelta(days=days)


@dataclass(frozen=True)
class Year:
    """A year that is made once for all tests here; each of them is rolled back to it."""

    number: int
    by: User
    payer: Client


@pytest.fixture(scope="module")
def year_once(django_db_setup, django_db_blocker, tmp_path_factory) -> Iterator[Year]:
    """Two rates, a discount, a deposit, a credit note, payments and a reversal."""
    media = override_settings(MEDIA_ROOT=tmp_path_factory.mktemp("year"))
    with django_db_blocker.unblock(), media, transaction.atomic():
        factories.billing_house()
        by = factories.person("odette", "principal")
        yield _lived(by, factories.payer(by=by))
        transaction.set_rollback(True)


def _lived(by: User, payer: Client) -> Year:
    firm = factories.payer(by=by, name="Musée de Valbrune", company_number="356000000")
    book = factories.sold("=Method", "18.95", category="S", rate_pct=Decimal("5.5"))
    line = factories.sold("Deposit", "83.33", sort="free")
    deposit = factories.issued(factories.draft(payer, line, by=by, kind="386"), by=by, at=on(0))
    final = factories.draft(payer, factories.hours(), book, by=by, discount_pct=Decimal("3.33"))
    final.deposits.add(deposit)
    invoice = factories.issued(final, by=by, at=on(1))
    more = factories.draft(firm, factories.hours("1.1", "47.77"), by=by)
    other = factories.issued(more, by=by, at=on(100))
    part = open_credit(invoice, by=by, at=on(120))
    part.lines.filter(rate_pct=20).update(quantity=Decimal("1.25"))
    factories.issued(part, by=by, at=on(120))
    factories.payment(deposit, "100.00", by=by, on=on(2).date())
    wrong = factories.payment(other, "63.00", by=by, on=on(101).date(), means="10")
    reverse_payment(wrong, on(102).date(), by=by, at=timezone.now())
    return Year(YEAR, by, payer)


@pytest.fixture
def lived(year_once, db) -> Year:
    return year_once


@pytest.fixture
def year(lived: Year) -> int:
    return lived.number


@pytest.fixture
def by(lived: Year) -> User:
    return lived.by


@pytest.fixture
def odette(client, by) -> Any:
    client.force_login(by)
    return client


def whole(year: int):
    return books(dt.date(year, 1, 1), dt.date(year, 12, 31))


def printed(year: int) -> Decimal:
    """What the papers themselves say, credit notes taken off."""
    rows = Invoice.objects.filter(issued_on__year=year)
    return total(-row.gross if row.is_credit else row.due for row in rows)


def fec_rows(year: int) -> list[dict[str, str]]:
    text = fec(year).decode()
    return list(csv.DictReader(io.StringIO(text), delimiter="\t", quoting=csv.QUOTE_NONE))


def euros(words: str) -> Decimal:
    return Decimal(words.replace(",", "."))


def test_the_books_of_a_full_year_agree(year):
    assert faults(year) == []


def test_the_journal_of_sales_agrees_with_the_papers(year):
    assert whole(year).gross == printed(year)


def test_the_vat_agrees_with_the_journal_and_with_each_rate_by_hand(year):
    summary = {line.rate_pct: (line.base, line.tax) for line in whole(year).vat}
    assert {line.operation for line in whole(year).vat} == {"S"}

    # 20 %: 348.00 − 11.59 (3.33 %) + 52.55 − (60.00 − 2.00) ; the deposit cancels itself.
    assert summary[Decimal("20.00")][0] == Decimal("330.96")
    assert total(tax for _base, tax in summary.values()) == whole(year).tax


def test_the_csv_of_sales_agrees_with_the_papers(year):
    rows = list(csv.reader(io.StringIO(sales_csv(whole(year)).decode("utf-8-sig")), delimiter=";"))

    assert total(euros(row[-1]) for row in rows[1:]) == printed(year)


def test_the_csv_of_vat_agrees_with_the_papers(year):
    rows = list(csv.reader(io.StringIO(vat_csv(whole(year)).decode("utf-8-sig")), delimiter=";"))

    paid = total(payment.amount for payment in Payment.objects.all())
    sums = {
        table: total(euros(row[4]) + euros(row[5]) for row in rows[1:] if row[0] == table)
        for table in ("by day of issue", "received")
    }
    assert sums == {"by day of issue": printed(year), "received": paid}


def test_the_french_layout_agrees_with_papers_and_payments(year):
    rows = fec_rows(year)
    client = [row for row in rows if row["CompteNum"] == "411000"]
    paid = total(payment.amount for payment in Payment.objects.all())

    assert total(euros(row["Debit"]) - euros(row["Credit"]) for row in rows) == 0
    assert total(euros(row["Debit"]) - euros(row["Credit"]) for row in client) == (
        printed(year) - paid
    )
    tax = total(
        euros(row["Credit"]) - euros(row["Debit"]) for row in rows if row["CompteNum"] == "445710"
    )
    assert tax == whole(year).tax


def test_the_accounts_of_clients_end_in_the_open_items(year):
    open_now = total(row.balance for row in Invoice.objects.open())

    owed = total(
        line.debit - line.credit
        for entry in entries(year)
        for line in entry.lines
        if line.account == "411000"
    )
    assert owed == open_now


def test_the_account_of_deposits_is_empty_once_all_are_deducted(year):
    left = total(
        line.debit - line.credit
        for entry in entries(year)
        for line in entry.lines
        if line.account == "419100"
    )

    assert left == 0


def test_the_french_layout_has_its_18_columns(year):
    """Names and order as in article A47 A-1 of the LPF, from memory."""
    lines = fec(year).decode().split("\r\n")

    assert tuple(lines[0].split("\t")) == FEC_COLUMNS
    assert len(FEC_COLUMNS) == 18
    assert {line.count("\t") for line in lines if line} == {17}


def test_every_entry_balances_and_is_numbered_in_the_order_it_was_written(year):
    rows = entries(year)

    assert [entry.number for entry in rows] == list(range(1, 8))
    assert [entry.written_at for entry in rows] == sorted(entry.written_at for entry in rows)
    for entry in rows:
        assert total(line.debit - line.credit for line in entry.lines) == 0


def test_a_payment_noted_later_leaves_earlier_numbers_as_they_are(year, by):
    before = [(entry.number, entry.piece) for entry in entries(year)]

    other = Invoice.objects.get(issued_on=on(100).date())
    factories.payment(other, "1.00", by=by, on=on(100).date())

    assert [(entry.number, entry.piece) for entry in entries(year)][: len(before)] == before


def test_amounts_and_days_are_written_as_the_layout_wants(year):
    row = fec_rows(year)[0]

    assert row["EcritureDate"] == row["PieceDate"] == "20250310"
    assert (row["Debit"], row["Credit"]) == ("100,00", "0,00")
    assert (row["JournalCode"], row["CompAuxNum"][0]) == ("VT", "C")


def test_books_that_were_tampered_with_are_found_out(year):
    TaxRow.objects.filter(pk=TaxRow.objects.latest("pk").pk).update(tax=Decimal("-1.00"))

    assert any("but the invoices say" in fault for fault in faults(year))


def test_books_in_two_currencies_do_not_agree(year):
    House.objects.update(currency="CHF")

    assert "FA-2025-0001 is in EUR, but the books are kept in CHF." in faults(year)


def test_a_year_is_closed_with_its_sums(year, by):
    row = close_year(year, by=by, at=timezone.now())

    assert row.totals["gross"] == str(printed(year))
    assert (row.totals["papers"], len(row.totals["entries_sha256"])) == (4, 64)


def test_a_closed_year_takes_no_payment_and_no_reversal(year, by):
    close_year(year, by=by, at=timezone.now())
    payment = Payment.objects.filter(sort="received").earliest("pk")

    with pytest.raises(YearClosedError):
        factories.payment(payment.invoice, "1.00", by=by, on=on(100).date())
    with pytest.raises(YearClosedError):
        reverse_payment(payment, on(100).date(), by=by, at=timezone.now())


def test_a_closed_year_takes_no_invoice_and_no_credit_note(year, by, lived):
    close_year(year, by=by, at=timezone.now())
    invoice = Invoice.objects.filter(kind="380").earliest("pk")

    for draft in (factories.draft(lived.payer, by=by), open_credit(invoice, by=by, at=on(200))):
        with pytest.raises(DraftIncompleteError, match="is closed"):
            factories.issued(draft, by=by, at=on(250))


def test_an_invoice_of_a_closed_year_is_still_credited_and_paid_in_the_next(year, by):
    close_year(year, by=by, at=timezone.now())
    invoice = Invoice.objects.get(issued_on=on(100).date())

    factories.payment(invoice, "1.00", by=by)
    note = factories.issued(open_credit(invoice, by=by, at=timezone.now()), by=by)

    assert note.issued_on.year > year


def test_earlier_years_are_closed_with_a_later_one(year, by):
    close_year(year, by=by, at=timezone.now())

    with pytest.raises(YearClosedError):
        require_open(dt.date(year - 1, 6, 1))
    require_open(dt.date(year + 1, 1, 1))


def test_a_year_is_closed_once(year, by):
    close_year(year, by=by, at=timezone.now())

    with pytest.raises(YearNotOverError, match="closed already"):
        close_year(year, by=by, at=timezone.now())


def test_books_that_differ_are_not_closed(year, by):
    TaxRow.objects.filter(pk=TaxRow.objects.latest("pk").pk).update(tax=Decimal("-1.00"))

    with pytest.raises(YearNotOverError, match="but the invoices say"):
        close_year(year, by=by, at=timezone.now())

    assert not ClosedYear.objects.exists()


def test_quarters_add_up_to_the_year(year):
    quarters = [books(*period.days) for period in periods_of(year)[1:5]]

    assert total(quarter.gross for quarter in quarters) == whole(year).gross


def test_the_page_shows_the_books_and_says_that_they_agree(odette, year, by):
    page = odette.get(reverse("invoices:books"), {"period": str(year)}).text

    assert "agree with the invoices to the cent" in page
    assert "FA-2025-0001" in page
    assert "Close 2025" in page


def test_before_it_is_closed_the_page_lists_what_is_still_open(odette, year, by, lived):
    draft = factories.draft(lived.payer, by=by)
    credited = Invoice.objects.get(issued_on=on(100).date())
    credit = open_credit(credited, by=by, at=timezone.now())
    line = factories.sold("Deposit", "10.00", sort="free")
    asked = factories.draft(lived.payer, line, by=by, kind="386")
    deposit = factories.issued(asked, by=by, at=on(200))

    page = odette.get(reverse("invoices:closing", args=[year]))

    found = page.context["open"]
    assert found.drafts == [draft]
    assert found.credits == [credit]
    assert found.deposits == [deposit]
    assert deposit in [one.invoice for one in found.unpaid]
    assert "Close 2025 for good" in page.text
    assert 'name="typed"' not in page.text
    assert not ClosedYear.objects.exists()


def test_a_look_at_the_page_closes_nothing_and_only_a_post_closes(odette, year):
    odette.get(reverse("invoices:closing", args=[year]))

    assert odette.get(reverse("invoices:close", args=[year])).status_code == 405
    assert not ClosedYear.objects.exists()


@pytest.mark.parametrize("typed", ["", "yes", "2025"])
def test_a_year_that_still_runs_is_closed_only_when_it_is_typed(odette, year, typed):
    this_year = timezone.localdate().year
    page = odette.get(reverse("invoices:closing", args=[this_year])).text

    answer = odette.post(reverse("invoices:close", args=[this_year]), {"typed": typed})

    assert f"Type {this_year} to close it all the same" in page
    assert answer.status_code == 409
    assert f"not over yet. To close it all the same, type {this_year} into the box." in answer.text
    assert not ClosedYear.objects.exists()


def test_a_year_that_still_runs_is_closed_when_it_is_typed(odette, year, by):
    this_year = timezone.localdate().year

    odette.post(reverse("invoices:close", args=[this_year]), {"typed": f" {this_year} "})

    assert ClosedYear.objects.get().year == this_year


def test_a_coming_year_is_never_closed(year, by):
    coming = timezone.localdate().year + 1

    with pytest.raises(YearNotOverError, match="not over yet"):
        close_year(coming, by=by, at=timezone.now(), typed=str(coming))


def test_who_closed_it_and_when_is_shown_also_of_the_years_before(odette, year, by):
    close_year(year, by=by, at=timezone.now())

    for one in (year, year - 1):
        page = odette.get(reverse("invoices:books"), {"period": str(one)}).text
        assert f"Closed by {by}" in page
        assert f"Close {one}" not in page
    assert "It was closed together with 2025." in page


def test_the_year_is_closed_on_the_page(odette, year, by):
    page = odette.post(reverse("invoices:close", args=[year]), follow=True).text

    assert "The year 2025 is closed." in page
    assert ClosedYear.objects.get().closed_by == by


@pytest.mark.parametrize(
    ("what", "name"),
    [("journal", "sales-2025.csv"), ("vat", "vat-2025.csv"), ("fec", "FEC20251231.txt")],
)
def test_files_for_the_accountant_are_handed_out(odette, year, by, what, name):
    answer = odette.get(reverse("invoices:export", args=[year, what]))

    assert answer.status_code == 200
    assert name in answer["Content-Disposition"]
    assert b"FA-2025-0001" in answer.content or what == "vat"
