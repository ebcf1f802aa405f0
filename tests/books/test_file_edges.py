"""Files for the accountant cell by cell; years, periods and files that are not there."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.books.books import books
from repairs.books.exports import fec, fec_name, sales_csv
from repairs.books.ledger import accounts
from repairs.books.lettering import letters
from repairs.books.periods import Period, period_of
from repairs.people.house_models import House
from tests import factories
from tests.books.days import APRIL, MARCH, YEAR


def test_each_line_of_the_journal_is_net_vat_and_their_sum(billed):
    [row] = sales_csv(books(MARCH, MARCH)).decode("utf-8-sig").splitlines()[1:]

    said = "2025-03-10;FA-2025-0001;invoice;Garance Ollivant;FR;sale;S;20,00;348,00;69,60;417,60"
    assert row == said


def test_the_columns_of_a_payment_in_the_french_layout(billed, helene):
    factories.payment(billed, "417.60", by=helene, on=APRIL, means="10")
    letter = letters()[billed.pk]

    rows = [line.split("\t") for line in fec(YEAR).decode().splitlines()[1:]]
    cash, client = rows[-2:]
    noted = f"{timezone.localdate():%Y%m%d}"
    assert cash[:6] == ["CA", "Caisse", "2", "20250410", "530000", "Caisse"]
    assert cash[6:10] == ["", "", "FA-2025-0001", "20250310"]
    assert cash[11:] == ["417,60", "0,00", "", "", noted, "", ""]
    assert client[4:9] == [
        "411000",
        "Clients",
        f"C{billed.client_id:05d}",
        "Garance Ollivant",
        "FA-2025-0001",
    ]
    assert client[11:] == ["0,00", "417,60", letter.code, "20250410", noted, "", ""]
    bare = [line.split("\t") for line in fec(YEAR, lettered=False).decode().splitlines()[1:]]
    assert {(row[13], row[14]) for row in bare} == {("", "")}


def test_a_house_without_a_siren_gets_a_place_for_it(shop):
    House.objects.update(company_number="")

    assert fec_name(2024) == "SIRENFEC20241231.txt"


@pytest.mark.parametrize(
    ("year", "what", "status"),
    [(1999, "fec", 404), (2000, "fec", 409), (YEAR, "else", 404), (YEAR, "fec", 200)],
)
def test_years_and_files_that_are_not_there(client, billed, odile, year, what, status):
    client.force_login(odile)

    assert client.get(f"/papers/money/books/{year}/{what}/").status_code == status


def test_a_coming_year_has_no_page(client, shop, odile):
    client.force_login(odile)
    coming = timezone.localdate().year + 1

    assert client.get(reverse("invoices:closing", args=[coming])).status_code == 404
    assert client.get(reverse("invoices:closing", args=[coming - 1])).status_code == 200


def test_files_say_what_they_are_and_of_which_period(client, billed, odile):
    client.force_login(odile)

    answer = client.get(reverse("invoices:export", args=[YEAR, "journal"]), {"period": "2025-Q1"})

    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="sales-2025-Q1.csv"'
    french = client.get(reverse("invoices:export", args=[YEAR, "fec"]))
    assert french["Content-Type"] == "text/plain; charset=utf-8"


@pytest.mark.parametrize(
    ("key", "days", "words"),
    [
        ("2025-Q2", (dt.date(2025, 4, 1), dt.date(2025, 6, 30)), "quarter 2 of 2025"),
        ("2025-Q4", (dt.date(2025, 10, 1), dt.date(2025, 12, 31)), "quarter 4 of 2025"),
        ("2025-12", (dt.date(2025, 12, 1), dt.date(2025, 12, 31)), "December 2025"),
        ("2025", (dt.date(2025, 1, 1), dt.date(2025, 12, 31)), "2025"),
    ],
)
def test_a_period_has_its_days_and_its_words(key, days, words):
    period = period_of(key)

    assert isinstance(period, Period)
    assert (period.days, period.words) == (days, words)


def test_the_accounts_are_those_of_the_chart():
    assert accounts()["vat"]["number"] == "445710"
    assert accounts()["client"]["number"] == "411000"
