"""The numbers of invoices and credit notes: a line for each prefix and year."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.series import Series, register
from repairs.invoices.series_models import InvoiceSeries
from repairs.people.house_models import House


def written(prefix: object, year: object, number: int) -> str:
    """The number as it stands on paper; beyond 9,999 it grows by a digit."""
    return f"{prefix}-{year}-{number:04d}"


def prefixes() -> list[tuple[object, ...]]:
    """The letters that invoices and credit notes begin with now."""
    rows = House.objects.values_list("invoice_prefix", "credit_prefix")[:1]
    return [(prefix,) for row in rows for prefix in row]


INVOICES = register(
    Series(
        "invoice",
        _("invoices, credit notes"),
        InvoiceSeries,
        ("prefix", "year"),
        written,
        prefixes,
    )
)
