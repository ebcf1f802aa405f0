"""Close a year of the books: from then on nothing bears a date in it."""

from __future__ import annotations

import datetime as dt
import hashlib
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.audit.actions import record
from repairs.errors import NothingToBookError, YearNotOverError
from repairs.invoices.books import books, faults
from repairs.invoices.exports import fec
from repairs.invoices.models import ClosedYear
from repairs.invoices.years import wait_for_books


@transaction.atomic
def close_year(year: int, *, by: Any, at: dt.datetime) -> ClosedYear:
    """Close the year with its sums and the hash of its entries in the French layout.

    Raises YearNotOverError while it lasts, when it is closed already, or when its books differ
    from its invoices.
    """
    wait_for_books()
    if year >= timezone.localtime(at).year:
        raise YearNotOverError(year=year, why=_("it is not over yet."))
    if ClosedYear.objects.filter(year__gte=year).exists():
        raise YearNotOverError(year=year, why=_("it, or a later one, is closed already."))
    if found := faults(year):
        raise YearNotOverError(year=year, why=" ".join(found))
    row = ClosedYear(year=year, totals=_totals(year), closed_at=at, closed_by=by)
    row.save()
    record(by, "books.closed", f"books:{year}", at=at, **row.totals)
    return row


def _totals(year: int) -> dict[str, Any]:
    whole = books(dt.date(year, 1, 1), dt.date(year, 12, 31))
    try:
        digest = hashlib.sha256(fec(year, lettered=False)).hexdigest()
    except NothingToBookError:
        digest = ""
    return {
        "papers": len(whole.sales),
        "net": str(whole.net),
        "vat": str(whole.tax),
        "gross": str(whole.gross),
        "entries_sha256": digest,
    }
