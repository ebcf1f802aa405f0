"""Papers and files of invoices: who may see money may open them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs import store
from repairs.errors import WorkshopError
from repairs.invoices.covering import covering_words
from repairs.invoices.einvoice.rule_sets import UBL
from repairs.invoices.einvoice.validate import build_checked
from repairs.invoices.forms import SendForm
from repairs.invoices.frozen import doc_from
from repairs.invoices.models import Invoice, Sending
from repairs.invoices.open_items import account, ageing
from repairs.invoices.reminders import claim, issue_reminder, reminder_sheet
from repairs.invoices.sending import file_name, mail_fault, send_paper
from repairs.invoices.statements import issue_statement, subject_of
from repairs.invoices.views import invoice_for
from repairs.people.access import SignedInRequest, needs, require
from repairs.people.models import Client, House
from repairs.press.models import Paper

MONEY_PAPERS = ("invoice", "client")


@needs("see_money")
def file(request: SignedInRequest, invoice: str, what: str) -> HttpResponseBase:
    """The invoice as the PDF that was issued, its XML, or the same in UBL."""
    row = invoice_for(invoice)
    makers: dict[str, Callable[[], HttpResponseBase]] = {
        "pdf": lambda: _pdf(request, row.paper, f"{row.number}.pdf"),
        "xml": lambda: _xml(store.path_of(row.xml_name).read_bytes(), f"{row.number}.xml"),
        "ubl": lambda: _xml(build_checked(doc_from(row.content), UBL).xml, f"{row.number}-ubl.xml"),
    }
    if what not in makers:
        raise Http404
    return makers[what]()


def _pdf(request: SignedInRequest, paper: Paper, name: str) -> FileResponse:
    return FileResponse(
        store.path_of(paper.file_name).open("rb"),
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
    xml = store.path_of(row.xml_name).read_text(encoding="utf-8")
    return render(request, "invoices/xml.html", {"invoice": row, "xml": xml})


@needs("see_money")
def paper_file(request: SignedInRequest, paper: UUID) -> FileResponse:
    """A reminder, a statement or any other paper about money."""
    row = get_object_or_404(Paper, uuid=paper)
    kind, _colon, rest = row.subject.partition(":")
    if kind not in MONEY_PAPERS:
        raise Http404
    name = f"{rest.replace(':', '-')}-{row.kind}-v{row.version}.pdf"
    return _pdf(request, row, name)


@needs("bill")
def remind(request: SignedInRequest, invoice: str) -> HttpResponse:
    """Shows exactly what the next reminder says, then issues it."""
    row = invoice_for(invoice)
    now = timezone.now()
    if request.method == "POST":
        reminder = issue_reminder(row, by=request.user, at=now)
        messages.success(request, _("Reminder %(level)s is issued.") % {"level": reminder.level})
        return redirect(row)
    facts: dict[str, Any] = {"invoice": row}
    try:
        asked = claim(row, timezone.localdate())
    except WorkshopError as refusal:
        facts["refusal"] = str(refusal)
    else:
        sheet = reminder_sheet(row, asked, made_at=now)
        facts |= {"sheet": sheet, "body": sheet.body}
    return render(request, "invoices/remind.html", facts)


@needs("bill")
def send(request: SignedInRequest, invoice: str) -> HttpResponse:
    """Write the message and send it with the paper attached; when it does not go, the attempt is
    kept, and the form comes back as it was typed."""
    row = invoice_for(invoice)
    paper = _paper_to_send(row, request.GET.get("reminder", ""))
    form = SendForm(request.POST or None, initial=covering_words(row, paper))
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        sending = Sending(invoice=row, paper=paper, address=said["address"])
        words = (said["subject"], said["text"])
        sending = send_paper(sending, words, by=request.user, at=timezone.now())
        if sending.state == Sending.State.SENT:
            told = _("Sent to %(address)s.") % {"address": sending.address}
            messages.success(request, told)
            return redirect(row)
        form.add_error(None, _not_sent(sending))
    facts = {
        "invoice": row,
        "paper": paper,
        "form": form,
        "name": file_name(row, paper),
        "fault": "" if form.is_bound else mail_fault(),
    }
    return render(request, "invoices/send.html", facts)


def _paper_to_send(invoice: Invoice, level: str) -> Paper:
    if not level:
        return invoice.paper
    rows = invoice.reminders.select_related("paper")
    return get_object_or_404(rows, level=int(level) if level in ("1", "2", "3") else 0).paper


def _not_sent(sending: Sending) -> str:
    said = {"address": sending.address, "why": sending.why}
    return _("Not sent to %(address)s. %(why)s What you wrote stands below.") % said


@needs("see_money")
def statement(request: SignedInRequest, owner: int) -> HttpResponse:
    """The account of a client; who bills may issue it on paper."""
    client = get_object_or_404(Client, pk=owner)
    if request.method == "POST":
        require(request.user, "bill")
        paper = issue_statement(
            client, language=client.language, by=request.user, at=timezone.now()
        )
        messages.success(request, _("%(title)s is issued.") % {"title": paper.title})
        return redirect("invoices:statement", client.pk)
    today = timezone.localdate()
    facts = {
        "client": client,
        "lines": account(client, today),
        "aged": ageing(today, client),
        "papers": Paper.objects.about(Paper.Kind.STATEMENT, subject_of(client)),
        "currency": House.present().currency,
    }
    return render(request, "invoices/statement.html", facts)
