"""The books: journal, VAT, files for the accountant, closing a year; and received files."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.books.books import books, faults, which_table
from repairs.books.closing import close_year, still_open
from repairs.books.exported import note_export
from repairs.books.exports import fec, fec_name, sales_csv, vat_csv
from repairs.books.forms import ReceivedForm
from repairs.books.periods import Period, period_of, periods_of
from repairs.einvoice.check.received import check_received
from repairs.invoices.models import Invoice
from repairs.invoices.years import closing_of
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, needs
from repairs.people.house_models import House

FIRST_YEAR = 2000


@needs("books")
def books_page(request: SignedInRequest) -> HttpResponse:
    """A year, a quarter or a month of the books."""
    today = timezone.localdate()
    period = period_of(request.GET.get("period", "")) or Period.year(today.year)
    years = Invoice.objects.dates("issued_on", "year", order="DESC")
    facts = {
        "period": period,
        "periods": periods_of(period.first.year),
        "books": books(period.first, period.last),
        "years": sorted({day.year for day in years} | {today.year}, reverse=True),
        "year": period.first.year,
        "closed": closing_of(period.first.year),
        "may_close": period.first.year <= today.year,
        "faults": faults(period.first.year),
        "which_table": which_table(House.present()),
    }
    return render(request, "books/books.html", facts)


@needs("books")
def export(request: SignedInRequest, year: int, what: str) -> HttpResponse:
    """A file for the accountant: ``journal`` and ``vat`` of a period, ``fec`` of the whole year."""
    _require_year(year)
    period = period_of(request.GET.get("period", "")) or Period.year(year)
    makers: dict[str, Callable[[], tuple[bytes, str]]] = {
        "journal": lambda: (sales_csv(books(*period.days)), f"sales-{period.key}.csv"),
        "vat": lambda: (vat_csv(books(*period.days)), f"vat-{period.key}.csv"),
        "fec": lambda: (fec(year), fec_name(year)),
    }
    if what not in makers:
        raise Http404
    data, name = makers[what]()
    note_export(year, what, period.key, by=request.user, at=timezone.now())
    kind = "text/plain" if what == "fec" else "text/csv"
    answer = HttpResponse(data, content_type=f"{kind}; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _require_year(year: int) -> None:
    if not FIRST_YEAR <= year <= timezone.localdate().year:
        raise Http404


@needs("books")
def closing(request: SignedInRequest, year: int) -> HttpResponse:
    """What closing the year means and what is still open in it, before anybody closes it."""
    _require_year(year)
    today = timezone.localdate()
    facts = {
        "year": year,
        "open": still_open(year, today),
        "is_over": year < today.year,
        "closed": closing_of(year),
        "faults": faults(year),
    }
    return render(request, "books/closing.html", facts)


@needs("books")
@require_POST
def close(request: SignedInRequest, year: int) -> HttpResponse:
    """Close the year for good; a year that still lasts has to be typed."""
    _require_year(year)
    close_year(year, by=request.user, at=timezone.now(), typed=request.POST.get("typed", ""))
    messages.success(request, _("The year %(year)s is closed.") % {"year": year})
    return redirect(f"{reverse('invoices:books')}?period={year}")


@needs("see_money")
def check(request: SignedInRequest) -> HttpResponse:
    """Read a received e-invoice and hold it against the rules; nothing is kept."""
    is_sent = request.method == "POST"
    form = ReceivedForm(request.POST, request.FILES) if is_sent else ReceivedForm()
    facts: dict[str, object] = {"form": form}
    if form.is_valid():
        sent = form.cleaned_data["file"]
        try:
            facts["checked"] = check_received(sent.read(), sent.name)
        except WorkshopError as refusal:
            form.add_error("file", str(refusal))
    return render(request, "books/check.html", facts)
