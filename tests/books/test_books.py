"""The books agree with the invoices to the cent: journal, VAT, files, entries."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest
from django.urls import reverse

from repairs.books.books import books, faults
from repairs.books.exports import FEC_COLUMNS, fec, sales_csv, vat_csv
from repairs.books.ledger import entries
from repairs.books.periods import periods_of
from repairs.invoices.models import Invoice, Payment, TaxRow
from repairs.money import total
from repairs.people.house_models import House
from tests import factories
from tests.books.year import on, printed, whole


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


def test_quarters_add_up_to_the_year(year):
    quarters = [books(*period.days) for period in periods_of(year)[1:5]]

    assert total(quarter.gross for quarter in quarters) == whole(year).gross


def test_the_page_shows_the_books_and_says_that_they_agree(odette, year, by):
    page = odette.get(reverse("invoices:books"), {"period": str(year)}).text

    assert "agree with the invoices to the cent" in page
    assert "FA-2025-0001" in page
    assert "Close 2025" in page


@pytest.mark.parametrize(
    ("what", "name"),
    [("journal", "sales-2025.csv"), ("vat", "vat-2025.csv"), ("fec", "FEC20251231.txt")],
)
def test_files_for_the_accountant_are_handed_out(odette, year, by, what, name):
    answer = odette.get(reverse("invoices:export", args=[year, what]))

    assert answer.status_code == 200
    assert name in answer["Content-Disposition"]
    assert b"FA-2025-0001" in answer.content or what == "vat"
