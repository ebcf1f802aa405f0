"""A closed year takes nothing more; before it is closed the page says what is still open."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.books.closing import close_year
from repairs.books.refusals import YearNotOverError
from repairs.invoices.actions import open_credit
from repairs.invoices.models import ClosedYear, Invoice, Payment, TaxRow
from repairs.invoices.refusals import DraftIncompleteError, YearClosedError
from repairs.invoices.years import require_open
from repairs.payments.actions import reverse_payment
from tests import factories
from tests.books.year import on, printed


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
