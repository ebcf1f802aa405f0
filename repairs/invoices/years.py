"""Closed years of the books, and the lock that a closed year is."""

from __future__ import annotations

import datetime as dt

from repairs.invoices.models import ClosedYear
from repairs.invoices.refusals import YearClosedError
from repairs.people.house_models import House


def require_open(day: dt.date) -> None:
    """Raise YearClosedError when the books of that year, or of a later one, are closed.

    To be asked inside the transaction that writes the date: it waits for the house's row, as the
    closing of a year does, so that nothing slips in beside it.
    """
    wait_for_books()
    if closing_of(day.year) is not None:
        raise YearClosedError(year=day.year)


def closing_of(year: int) -> ClosedYear | None:
    """The closing that holds for the year: its own, or that of a later one."""
    rows = ClosedYear.objects.filter(year__gte=year).select_related("closed_by")
    return rows.order_by("year").first()


def wait_for_books() -> None:
    """Hold the row of the house until the end of the transaction."""
    list(House.objects.select_for_update().values_list("pk"))
