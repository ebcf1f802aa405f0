"""Close a year of the books: from then on nothing bears a date in it."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.books.books import books, faults
from repairs.books.exports import fec
from repairs.books.refusals import NothingToBookError, YearNotOverError
from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import ClosedYear, Invoice
from repairs.invoices.years import closing_of, wait_for_books
from repairs.payments.open_items import OpenItem, ageing
from repairs.people.models import User


@dataclass(frozen=True)
class StillOpen:
    """What a person would want to see to before the year is closed; none of it keeps it open."""

    drafts: list[InvoiceDraft]
    credits: list[InvoiceDraft]
    deposits: list[Invoice]
    unpaid: list[OpenItem]

    def __bool__(self) -> bool:
        return any((self.drafts, self.credits, self.deposits, self.unpaid))


def still_open(year: int, today: dt.date) -> StillOpen:
    """Drafts of any kind; of the year and before, deposits not deducted and what is not settled."""
    drafts = InvoiceDraft.objects.open().select_related("client", "case", "credits")
    deposits = Invoice.objects.filter(
        kind=Kind.DEPOSIT, deduction=None, credit_notes=None, issued_on__year__lte=year
    )
    return StillOpen(
        drafts=[one for one in drafts if not one.is_credit],
        credits=[one for one in drafts if one.is_credit],
        deposits=list(deposits.select_related("client").order_by("issued_on", "pk")),
        unpaid=[one for one in ageing(today).items if one.invoice.issued_on.year <= year],
    )


@deed()
def close_year(year: int, *, by: User, at: dt.datetime, typed: str = "") -> ClosedYear:
    """Close the year with its sums and the hash of its entries in the French layout.

    Raises YearNotOverError while it lasts, unless the year itself was typed to confirm it; when it
    is closed already; or when its books differ from its invoices.
    """
    # Nobody issues or takes money while the sums are drawn: a payment noted between the sum and the
    # row would belong to a closed year and stand in no total.
    wait_for_books()
    this_year = timezone.localtime(at).year
    if year > this_year:
        raise YearNotOverError(year=year, why=_("it is not over yet. Come back once it is."))
    # A house that ends its trade closes in mid-year; nobody else does, so the year has to be typed.
    if year == this_year and typed.strip() != str(year):
        why = _("it is not over yet. To close it all the same, type %(year)s into the box.")
        raise YearNotOverError(year=year, why=why % {"year": year})
    if closing_of(year) is not None:
        why = _("it, or a later one, is closed already. What comes now belongs to an open year.")
        raise YearNotOverError(year=year, why=why)
    if found := faults(year):
        how = _("Have whoever looks after the program find out why, before anything is closed.")
        raise YearNotOverError(year=year, why=" ".join([*found, how]))
    row = ClosedYear(year=year, totals=_totals(year), closed_at=at, closed_by=by)
    row.save()
    record(by, "books.closed", f"books:{year}", at=at, **row.totals)
    return row


def _totals(year: int) -> dict[str, int | str]:
    whole = books(dt.date(year, 1, 1), dt.date(year, 12, 31))
    try:
        # Without letters: those change with every payment that comes later, and the closed year
        # must still be told as the same.
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
