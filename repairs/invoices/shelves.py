"""The files of invoices in the store: the machine's side of each."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from django.utils.translation import gettext_lazy as _

from repairs.invoices.models import Invoice
from repairs.storage.shelves import Kept, Place, Shelf, put_up


def _invoices() -> Iterator[Kept]:
    for name, digest in Invoice.objects.values_list("xml_name", "xml_sha256").iterator():
        yield Kept(name, digest)


def _places(names: Collection[str]) -> Mapping[str, Place]:
    rows = Invoice.objects.filter(xml_name__in=names)
    return {row.xml_name: Place(row.number, row.get_absolute_url()) for row in rows}


put_up(
    Shelf(
        "invoices",
        _("machine’s side of invoices"),
        _invoices,
        lambda name: Invoice.objects.filter(xml_name=name).exists(),
        places=_places,
    )
)
