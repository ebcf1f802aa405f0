"""Files for the accountant and the periods they cover, at their edges."""

from __future__ import annotations

import csv
import datetime as dt
import io

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.books.books import books
from repairs.books.closing import close_year
from repairs.books.exports import fec, fec_name, sales_csv, vat_csv
from repairs.books.periods import period_of, periods_of
from repairs.books.refusals import NothingToBookError, YearNotOverError
from tests import factories

YEAR = 2025
AT = dt.datetime(YEAR, 3, 10, 9, 0, tzinfo=dt.UTC)


def whole(year: int):
    return books(dt.date(year, 1, 1), dt.date(year, 12, 31))


def fec_rows(year: int) -> list[dict[str, str]]:
    text = fec(year).decode()
    return list(csv.DictReader(io.StringIO(text), delimiter="\t", quoting=csv.QUOTE_NONE))


def test_the_file_bears_the_siren_and_the_end_of_the_year(shop):
    assert fec_name(2025) == "732829320FEC20251231.txt"


def test_a_name_with_a_tab_shifts_no_column(payer, helene):
    payer.name = "Tab\tbed and\nbroken"
    payer.save()
    factories.issued(factories.draft(payer, by=helene), by=helene, at=AT)

    assert {row["EcritureLib"] for row in fec_rows(YEAR)} == {
        "Facture FA-2025-0001, Tab bed and broken"
    }


@pytest.mark.parametrize("name", ["=HYPERLINK(1)", "+33 6", "-Odon", "@Odon"])
def test_a_name_is_no_formula_in_a_spreadsheet(payer, helene, name):
    payer.name = name
    payer.save()
    factories.issued(factories.draft(payer, by=helene), by=helene, at=AT)

    assert f";'{name};" in sales_csv(whole(YEAR)).decode("utf-8-sig")


def test_an_empty_year_has_nothing_to_export(shop):
    with pytest.raises(NothingToBookError, match="nothing to export"):
        fec(YEAR)
    with pytest.raises(NothingToBookError):
        sales_csv(whole(YEAR))
    with pytest.raises(NothingToBookError):
        vat_csv(whole(YEAR))


def test_the_running_year_is_not_closed(shop, helene):
    with pytest.raises(YearNotOverError, match="not over yet"):
        close_year(timezone.localdate().year, by=helene, at=timezone.now())


@pytest.mark.parametrize(
    ("key", "first", "last"),
    [
        ("2026", dt.date(2026, 1, 1), dt.date(2026, 12, 31)),
        ("2026-Q1", dt.date(2026, 1, 1), dt.date(2026, 3, 31)),
        ("2024-02", dt.date(2024, 2, 1), dt.date(2024, 2, 29)),
    ],
)
def test_periods_are_named_as_in_an_address(key, first, last):
    period = period_of(key)

    assert period is not None
    assert period.days == (first, last)


@pytest.mark.parametrize("key", ["", "2026-Q5", "2026-13", "1899", "x", "2026-1"])
def test_other_words_name_no_period(key):
    assert period_of(key) is None


def test_a_year_has_its_quarters_and_months():
    assert len(periods_of(2026)) == 17


def test_an_export_of_nothing_is_refused_with_a_sentence(client, shop, odile):
    client.force_login(odile)

    answer = client.get(reverse("invoices:export", args=[2024, "fec"]))

    assert answer.status_code == 409
    assert "nothing to export" in answer.text


@pytest.mark.parametrize(
    "name", ['=HYPERLINK("http://x","y")', "@SUM(1)", "+cmd|'/c x'!A1", "-2+3"]
)
def test_a_client_s_name_is_a_formula_in_no_file(shop, helene, name):
    payer = factories.payer(by=helene, name=name)
    at = timezone.now()
    factories.issued(factories.draft(payer, by=helene), by=helene, at=at)

    lines = fec(at.year).decode().split("\r\n")[1:-1]
    cells = [cell for line in lines for cell in line.split("\t")]

    assert {len(line.split("\t")) for line in lines} == {18}  # the layout holds
    assert f"'{name}" in cells
    assert not [cell for cell in cells if cell.startswith(("=", "@", "+", "-"))]
