"""The pages of the books at their edges: years that are offered, closed, or not there at all."""

from __future__ import annotations

import datetime as dt
import hashlib
import io
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import InMemoryUploadedFile, SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from django.utils.datastructures import MultiValueDict

from repairs.audit.models import LogEntry
from repairs.books import closing as closing_module
from repairs.books.books import books, vat_lines
from repairs.books.closing import close_year
from repairs.books.exports import _harmless, fec, fec_name, sales_csv, vat_csv
from repairs.books.forms import MOST_BYTES, ReceivedForm
from repairs.books.periods import periods_of
from repairs.books.refusals import NothingToBookError
from repairs.invoices.models import ClosedYear
from repairs.people.house_models import House
from tests import factories
from tests.books.days import APRIL, AT, MARCH, YEAR

D = Decimal


@pytest.fixture
def open_books(client, shop, odile):
    client.force_login(odile)
    return client


def test_years_with_invoices_and_the_present_one_are_offered_the_latest_first(open_books, billed):
    this_year = timezone.localdate().year

    page = open_books.get(reverse("invoices:books"))
    assert page.context["years"] == [this_year, YEAR]
    assert page.context["year"] == this_year
    assert page.context["period"].key == str(this_year)


@pytest.mark.parametrize(("further", "may"), [(-1, True), (0, True), (1, False)])
def test_a_coming_year_is_not_offered_to_be_closed(open_books, further, may):
    year = timezone.localdate().year + further

    page = open_books.get(reverse("invoices:books"), {"period": str(year)})
    assert page.context["may_close"] is may
    assert (f"Close {year}" in page.text) is may


@pytest.mark.parametrize(("further", "over"), [(-1, True), (0, False)])
def test_only_a_year_that_lasts_has_to_be_typed(open_books, further, over):
    year = timezone.localdate().year + further

    page = open_books.get(reverse("invoices:closing", args=[year]))
    assert page.context["is_over"] is over
    assert ('name="typed"' in page.text) is not over


@pytest.mark.parametrize("year", [1999, 2999])
def test_a_year_that_is_not_there_is_neither_shown_nor_closed_nor_exported(open_books, year):
    assert open_books.get(reverse("invoices:closing", args=[year])).status_code == 404
    assert open_books.post(reverse("invoices:close", args=[year])).status_code == 404
    assert open_books.get(reverse("invoices:export", args=[year, "fec"])).status_code == 404
    assert not ClosedYear.objects.exists()


def test_the_closing_is_told_and_stands_in_the_log_with_its_sums(open_books, billed, odile):
    answer = open_books.post(reverse("invoices:close", args=[YEAR]), follow=True)

    assert "The year 2025 is closed." in answer.text
    assert answer.redirect_chain[0][0].endswith("?period=2025")
    line = LogEntry.objects.get(verb="books.closed")
    assert (line.subject, line.actor) == ("books:2025", odile)
    sums = {name: line.details[name] for name in ("papers", "net", "vat", "gross")}
    assert sums == {"papers": 1, "net": "348.00", "vat": "69.60", "gross": "417.60"}


def test_a_closed_year_holds_its_first_and_last_day_and_no_letter(payer, helene):
    for month, day in ((1, 1), (12, 31)):
        at = dt.datetime(YEAR, month, day, 9, 0, tzinfo=dt.UTC)
        sold = factories.issued(factories.draft(payer, by=helene), by=helene, at=at)
        factories.payment(sold, "417.60", by=helene, on=dt.date(YEAR, 12, 31))
    assert fec(YEAR) != fec(YEAR, lettered=False)

    totals = close_year(YEAR, by=helene, at=timezone.now()).totals

    assert (totals["papers"], totals["gross"]) == (2, "835.20")
    bare = hashlib.sha256(fec(YEAR, lettered=False)).hexdigest()
    assert totals["entries_sha256"] == bare


def test_an_empty_year_is_closed_without_a_hash(shop, helene):
    row = close_year(YEAR, by=helene, at=timezone.now())

    nothing = {"papers": 0, "net": "0.00", "vat": "0.00", "gross": "0.00", "entries_sha256": ""}
    assert ClosedYear.objects.get(pk=row.pk).totals == nothing


def test_nobody_writes_into_the_books_while_they_are_closed(billed, helene, monkeypatch):
    def hold() -> None:
        raise InterruptedError("held")

    monkeypatch.setattr(closing_module, "wait_for_books", hold)

    with pytest.raises(InterruptedError, match="held"):
        close_year(YEAR, by=helene, at=timezone.now())


def test_an_empty_period_is_named_from_its_first_to_its_last_day(shop):
    told = []
    for export in (
        lambda: fec(YEAR),
        lambda: sales_csv(books(MARCH, APRIL)),
        lambda: vat_csv(books(MARCH, APRIL)),
    ):
        with pytest.raises(NothingToBookError) as refusal:
            export()
        told.append(str(refusal.value).replace("\u00a0", " "))

    assert "between 1 January 2025 and 31 December 2025" in told[0]
    assert all("between 10 March 2025 and 10 April 2025" in words for words in told[1:])


def test_a_period_in_which_money_came_alone_has_its_table_of_vat(billed, helene):
    factories.payment(billed, "417.60", by=helene, on=APRIL)

    [_head, row] = vat_csv(books(APRIL, APRIL)).decode("utf-8-sig").splitlines()
    assert row == "received;S;Services, taxed;20,00;348,00;69,60"
    [_head, row] = vat_csv(books(MARCH, MARCH)).decode("utf-8-sig").splitlines()
    assert row == "by day of issue;S;Services, taxed;20,00;348,00;69,60"


def test_the_file_is_named_by_the_first_nine_digits_of_a_siret(shop):
    House.objects.update(company_number="732 829 320 00074")

    assert fec_name(2025) == "732829320FEC20251231.txt"


@pytest.mark.parametrize(
    ("cell", "written"),
    [
        ("Odon", "Odon"),
        ("", ""),
        ("-5", "-5"),
        ("-12,50", "-12,50"),
        ("-", "'-"),
        ("+33 6", "'+33 6"),
        ("=1+1", "'=1+1"),
        ("@Odon", "'@Odon"),
        ("\tOdon", "'\tOdon"),
        ("\nOdon", "'\nOdon"),
        ("＝1+1", "'＝1+1"),
    ],
)
def test_what_a_spreadsheet_would_reckon_is_marked_as_text_and_a_number_is_not(cell, written):
    assert _harmless(cell) == written


def test_a_year_is_parted_into_quarters_and_months():
    told = [(one.key, one.first.isoformat(), one.last.isoformat()) for one in periods_of(2024)]

    assert len(told) == 1 + 4 + 12
    assert told[:6] == [
        ("2024", "2024-01-01", "2024-12-31"),
        ("2024-Q1", "2024-01-01", "2024-03-31"),
        ("2024-Q2", "2024-04-01", "2024-06-30"),
        ("2024-Q3", "2024-07-01", "2024-09-30"),
        ("2024-Q4", "2024-10-01", "2024-12-31"),
        ("2024-01", "2024-01-01", "2024-01-31"),
    ]
    assert told[6] == ("2024-02", "2024-02-01", "2024-02-29")
    assert told[-1] == ("2024-12", "2024-12-01", "2024-12-31")


@pytest.mark.parametrize(
    ("size", "wrong"), [(MOST_BYTES, False), (MOST_BYTES + 1, True), (0, False), (None, False)]
)
def test_a_received_file_may_have_twenty_megabytes(size, wrong):
    assert MOST_BYTES == 20 * 1024 * 1024
    file = InMemoryUploadedFile(io.BytesIO(b"x"), "file", "a.xml", "text/xml", size, None)

    form = ReceivedForm({}, MultiValueDict({"file": [file]}))
    assert form.is_valid() is not wrong
    assert ("more than 20 MB" in str(form.errors)) is wrong


def test_the_page_of_checking_asks_for_a_file_before_it_judges(open_books):
    fresh = open_books.get(reverse("invoices:check"))
    assert not fresh.context["form"].is_bound
    assert "checked" not in fresh.context

    sent = open_books.post(reverse("invoices:check"), {})
    assert "file" in sent.context["form"].errors
    junk = SimpleUploadedFile("theirs.xml", b"<html/>")
    said = open_books.post(reverse("invoices:check"), {"file": junk})
    assert "neither CII nor UBL" in str(said.context["form"].errors["file"])
    assert "checked" not in said.context


def test_equal_rates_stand_in_the_order_of_their_categories(firm, helene):
    for kind, price in (("hours", "10.00"), ("material", "20.00")):
        line = factories.hours("1", price, sort=kind)
        factories.issued(factories.draft(firm, line, by=helene), by=helene, at=AT)

    told = [(one.operation, one.base, one.tax) for one in vat_lines(MARCH, MARCH)]
    assert told == [("B", D("20.00"), D("4.00")), ("S", D("10.00"), D("2.00"))]
