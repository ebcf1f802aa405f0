"""Papers about money: reminders, statements, and messages with a paper enclosed."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.invoices.access import invoice_for
from repairs.invoices.file_views import _pdf
from repairs.invoices.models import Invoice
from repairs.language.refusal import WorkshopError
from repairs.payments.claims import claim
from repairs.payments.covering import covering_words
from repairs.payments.forms import SendForm
from repairs.payments.models import Sending
from repairs.payments.open_items import account, ageing
from repairs.payments.paper_kinds import STATEMENT
from repairs.payments.reminder_letter import reminder_sheet
from repairs.payments.reminders import issue_reminder
from repairs.payments.sending import file_name, mail_fault, send_paper
from repairs.payments.statements import issue_statement, subject_of
from repairs.people.access import SignedInRequest, needs, require
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.press.actions import note_download
from repairs.press.models import Paper

MONEY_PAPERS = ("invoice", "client")


@needs("see_money")
def paper_file(request: SignedInRequest, paper: UUID) -> FileResponse:
    """A reminder, a statement or any other paper about money."""
    row = get_object_or_404(Paper, uuid=paper)
    kind, _colon, rest = row.subject.partition(":")
    if kind not in MONEY_PAPERS:
        raise Http404
    name = f"{rest.replace(':', '-')}-{row.kind}-v{row.version}.pdf"
    note_download(row, by=request.user, at=timezone.now())
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
    facts: dict[str, object] = {"invoice": row}
    try:
        asked = claim(row, timezone.localdate())
    except WorkshopError as refusal:
        facts["refusal"] = str(refusal)
    else:
        sheet = reminder_sheet(row, asked, made_at=now)
        facts |= {"sheet": sheet, "body": sheet.body}
    return render(request, "payments/remind.html", facts)


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
    return render(request, "payments/send.html", facts)


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
        "papers": Paper.objects.about(STATEMENT, subject_of(client)),
        "currency": House.present().currency,
    }
    return render(request, "payments/statement.html", facts)
