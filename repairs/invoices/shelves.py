"""The files of invoices in the store: the machine's side of each."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from django.utils.translation import gettext_lazy as _

from repairs.invoices.models import Invoice
from repairs.storage.shelves import Place, Rows, Shelf, put_up

INVOICES = Rows(Invoice, "xml_name", "xml_sha256")


def _places(names: Collection[str]) -> Mapping[str, Place]:
    rows = Invoice.objects.filter(xml_name__in=names)
    return {row.xml_name: Place(row.number, row.get_absolute_url()) for row in rows}


put_up(
    Shelf(
        "invoices",
        _("machine’s side of invoices"),
        INVOICES.kept,
        INVOICES.knows,
        places=_places,
        rows=INVOICES,
    )
)
