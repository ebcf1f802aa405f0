"""Papers and files of invoices: who may see money may open them."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone

from repairs.einvoice.check.validate import build_checked
from repairs.einvoice.frozen import doc_from
from repairs.einvoice.rules.rule_sets import UBL
from repairs.invoices.access import invoice_for
from repairs.people.access import SignedInRequest, needs
from repairs.press.actions import note_download
from repairs.press.models import Paper
from repairs.storage.reading import read_kept


@needs("see_money")
def file(request: SignedInRequest, invoice: str, what: str) -> HttpResponseBase:
    """The invoice as the PDF that was issued, its XML, or the same in UBL."""
    row = invoice_for(invoice)
    makers: dict[str, Callable[[], HttpResponseBase]] = {
        "pdf": lambda: _pdf(request, row.paper, f"{row.number}.pdf"),
        "xml": lambda: _xml(read_kept(row.xml_name, row.xml_sha256), f"{row.number}.xml"),
        "ubl": lambda: _xml(build_checked(doc_from(row.content), UBL).xml, f"{row.number}-ubl.xml"),
    }
    if what not in makers:
        raise Http404
    note_download(row.paper, by=request.user, at=timezone.now())
    return makers[what]()


def _pdf(request: SignedInRequest, paper: Paper, name: str) -> FileResponse:
    return FileResponse(
        BytesIO(read_kept(paper.file_name, paper.sha256)),
        content_type="application/pdf",
        filename=name,
        as_attachment="download" in request.GET,
    )


def _xml(data: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(data, content_type="application/xml")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@needs("see_money")
def xml_page(request: SignedInRequest, invoice: str) -> HttpResponse:
    """The machine's side of the invoice, to be read by a person."""
    row = invoice_for(invoice)
    xml = read_kept(row.xml_name, row.xml_sha256).decode()
    note_download(row.paper, by=request.user, at=timezone.now())
    return render(request, "invoices/xml.html", {"invoice": row, "xml": xml})
